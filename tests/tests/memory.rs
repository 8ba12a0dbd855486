//! What reading a meter's log costs in memory. By itself in its process, whose high-water mark never falls.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::Path;

use tubtrace::analysis::Analysis;
use tubtrace::log::{Assumptions, read};

/// The most that this process has held so far, bytes; none where nothing tells.
fn high_water() -> Option<usize> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    Some(line.trim().strip_suffix("kB")?.trim().parse::<usize>().ok()? << 10)
}

/// Seconds of the log: eight days.
const SECONDS: usize = 8 * 86_400;

/// A file of a machine that runs once in an hour, hardly any reading like the one before it, as lines of the seconds that `order` gives. It is
/// written as it is made: nothing of it is held. Gives its bytes.
fn meter(path: &Path, order: impl Iterator<Item = Line>) -> usize {
    let programme =
        [(600, 2.0), (60, 25.0), (900, 95.0), (600, 1_900.0), (300, 95.0), (60, 25.0), (1_080, 4.0)];
    let hour: Vec<f64> =
        programme.iter().flat_map(|&(lasts, watts)| std::iter::repeat_n(watts, lasts)).collect();
    let mut file = BufWriter::new(File::create(path).unwrap());
    writeln!(file, "time,watts").unwrap();
    for line in order {
        match line {
            Line::Second(second) => {
                // One percent up and down: a fifth of what a steady stretch may vary by.
                let watts = hour[second % hour.len()] * (1.0 + 0.01 * (second % 7) as f64 / 7.0);
                writeln!(file, "{},{watts:.0}", 1_700_000_000 + second).unwrap();
            }
            Line::Nonsense => writeln!(file, "not a time,5").unwrap(),
        }
    }
    file.flush().unwrap();
    std::fs::metadata(path).unwrap().len() as usize
}

enum Line {
    Second(usize),
    Nonsense,
}

/// What a file is like, its lines, and where each setting of the command differs.
type Case<'a> = (&'a str, Box<dyn Iterator<Item = Line>>, &'a [(&'a str, &'a str)]);

/// Twice the file at most where its rows are in order, as almost every file's are; and every row and note is there whatever their order.
#[test]
fn reading_a_meter_costs_twice_its_file_at_most() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("meter.csv");
    let stray = |second| match second {
        5 => vec![Line::Nonsense, Line::Second(5)],
        400_000 => vec![Line::Second(1_000), Line::Second(400_000)],
        _ => vec![Line::Second(second)],
    };
    let half = SECONDS / 2;
    let cases: [Case; 3] = [
        ("in order", Box::new((0..SECONDS).map(Line::Second)), &[]),
        (
            "its halves changed about",
            Box::new((half..SECONDS).chain(0..half).map(Line::Second)),
            &[("pieces of the file", "line 345602")],
        ),
        (
            // The header is line 1; five lines come before the one that is none, and that before all that follow.
            "a row that comes twice, and one that is none",
            Box::new((0..SECONDS).flat_map(stray)),
            &[("not understood", "line 7: \"not a time\""), ("that was there already", "line 400003")],
        ),
    ];
    let before = high_water();
    for (name, order, notes) in cases {
        let bytes = meter(&path, order);
        let log = read(&path, Assumptions::default()).unwrap();
        let cycles = Analysis::of(&log.trace).cycles.len();
        assert_eq!(log.trace.steps.iter().filter(|s| s.duration().0 == 1.0).count(), SECONDS, "{name}");
        assert_eq!(cycles, SECONDS / 3_600, "{name}");
        let said = log.notes.all();
        assert_eq!(said.len(), notes.len(), "{name}: {said:?}");
        for (note, (what, first)) in said.iter().zip(notes) {
            assert!(note.what.contains(what) && note.first == *first, "{name}: {note:?}");
        }
        let (Some(before), Some(after)) = (before, high_water()) else {
            println!("skipped: nothing here tells how much memory is held");
            continue;
        };
        println!("{name}: {:.2} times the file of {bytes} bytes", (after - before) as f64 / bytes as f64);
        // Rows out of order are put in order in room of their own.
        assert!(
            !notes.is_empty() || after - before <= 2 * bytes,
            "{name}: {} bytes for {bytes}",
            after - before
        );
    }
}
