//! What the fuzz targets begin with, and what they have found, goes through the same code in every test run.

use std::path::{Path, PathBuf};

use tubtrace::analysis::Analysis;
use tubtrace::log::{Assumptions, Scale, from_wav_reader, parse};
use tubtrace_core::link::Inbox;
use tubtrace_protocol::Reader;

fn seeds(target: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/seeds").join(target);
    let files =
        std::fs::read_dir(folder).expect("seeds are in the repository").map(|f| f.expect("a file").path());
    let seeds: Vec<_> = files.map(|f| (f.clone(), std::fs::read(f).expect("it can be read"))).collect();
    assert!(!seeds.is_empty(), "{target} has no seeds");
    seeds
}

/// As far as cycles, where there is anything to read.
fn work(bytes: &[u8]) -> usize {
    parse(bytes, Assumptions::default()).map_or(0, |log| Analysis::of(&log.trace).cycles.len())
}

#[test]
fn none_of_them_panics() {
    for (_, bytes) in seeds("log") {
        work(&bytes);
    }
    for (_, rows) in seeds("csv") {
        work(&[b"time,watts,supply_c,drain_c\n", &rows[..]].concat());
    }
    for (path, bytes) in seeds("chart") {
        let _ = tubtrace::chart::parse(&String::from_utf8_lossy(&bytes), &path.display().to_string());
    }
    for (path, bytes) in seeds("plan") {
        let plan = tubtrace::bench::parse(&String::from_utf8_lossy(&bytes), &path.display().to_string());
        assert!(plan.is_ok_and(|plan| plan.count() > 0), "{}", path.display());
    }
    for (path, bytes) in seeds("sheet") {
        let Ok(paper) = tubtrace::sheet::parse(&bytes) else { continue };
        let again = tubtrace::sheet::parse(tubtrace::sheet::to_text(&paper).as_bytes());
        assert!(again.is_ok_and(|again| again.lines.len() == paper.lines.len()), "{}", path.display());
        let _ = tubtrace::sheet::chart(&paper);
    }
    for (_, bytes) in seeds("wav") {
        if let Ok((log, _)) = from_wav_reader(&bytes[..], "seed", Scale::default(), |_| {}) {
            work(&log);
        }
    }
    for (_, bytes) in seeds("frames") {
        let (mut reader, mut items) = (Reader::default(), 0);
        reader.push(&bytes, |_| items += 1);
        reader.finish(|_| items += 1);
        assert!(items > 0);
    }
    for (_, bytes) in seeds("requests") {
        let mut inbox = Inbox::default();
        bytes.iter().for_each(|&byte| drop(inbox.push(byte)));
    }
}
