//! `cargo xtask speed`: twelve hours of log from bytes to findings, stage by stage and on one core, with throughput and the most memory it
//! took; a page of 256 cycles before a repair and 256 after it; the same by a script of numpy, pandas and scipy where `PYTHON` (or python3) has them; and growth with the length of the log.

use std::fmt::Write;
use std::process::Command;
use std::time::Instant;

use tubtrace::chart::Machine;
use tubtrace::findings::Surroundings;
use tubtrace::intervals::cycles as cycles_of;
use tubtrace::learn::Nights;
use tubtrace::loads::{Draws, ScaledTrace, infer, infer_known};
use tubtrace::log::{Assumptions, parse};
use tubtrace_protocol::Tick;
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::command::Shop;
use tubtrace_tests::live;
use tubtrace_tests::whole::{chart, findings, findings_of, night, page_of};

/// Times each stage is done, of which the fastest counts: the rest is what else the machine had to do.
const TIMES: usize = 15;

/// Readings of the levels that are tried for a machine as a rule, and cycles that are compared.
const CANDIDATES: usize = 40;
const CYCLES: usize = 4;

/// What twelve hours of log may take, bytes to findings on one core, milliseconds: without a machine's file, and with one.
const MOST: f64 = 60.0;
const MOST_BY_FILE: f64 = 10.0;

fn main() {
    let recording = live(&night(4)).recording;
    let log = &recording.log;
    let (read, parsed) = fastest(|| parse(log, Assumptions::default()).expect("an intact log"));
    let trace = &parsed.trace;
    let scaled = ScaledTrace::of(trace);
    let (inferred, found) = fastest(|| infer(&ScaledTrace::of(trace)));
    let draws =
        Nights::read(&[trace], &Draws::default()).learn("timed").expect("healthy cycles").machine.draws;
    assert!(draws.tell_loads(), "a healthy night tells what each load draws");
    let (by_file, found_by_file) = fastest(|| infer_known(&ScaledTrace::of(trace), &draws));
    let (formed, cycles) = fastest(|| cycles_of(&scaled, &found));
    let chart = chart(&cycles, trace.resolution);
    let surroundings = Surroundings::of(trace, &cycles);
    let (judged, _) = fastest(|| findings(&cycles, surroundings, &chart));
    let (paged, page) = fastest(|| page_of(&parsed, &cycles, &chart));
    let (cycles_by_file, _) = fastest(|| cycles_of(&scaled, &found_by_file));
    let whole = read + inferred + formed + judged;
    let whole_by_file = read + by_file + cycles_by_file + judged;

    let windows = trace.duration().0 * f64::from(Tick::PER_SECOND);
    println!("{:.1} h of log, {} bytes, {} cycles", trace.duration().0 / 3_600.0, log.len(), cycles.len());
    println!(
        "{:24} {:>10} {:>12} {:>16} {:>10} {:>8}",
        "", "ms", "MB/s of log", "windows/s", "Python ms", "ratio"
    );
    let python = python(log);
    let of = |stage: usize| python.as_ref().and_then(|p| p.get(stage).copied());
    row("bytes to trace", read, log.len(), windows, of(0));
    row("loads", inferred, log.len(), windows, of(1));
    row("loads, by a machine file", by_file, log.len(), windows, None);
    row("intervals", formed, log.len(), windows, None);
    row("alignment, findings", judged, log.len(), windows, of(2));
    row("all of it", whole, log.len(), windows, python.as_ref().map(|p| p.iter().sum()));
    row("all, by a machine file", whole_by_file, log.len(), windows, None);
    for (what, took, most) in
        [("without a file", whole, MOST), ("by a machine file", whole_by_file, MOST_BY_FILE)]
    {
        let verdict = if took * 1e3 <= most { "met" } else { "missed" };
        println!("wanted {what}: at most {most:.0} ms for twelve hours: {verdict}");
    }
    println!("judged and made a page: {:.0} ms, {} kB", paged * 1e3, page.len() / 1_000);
    if python.is_none() {
        println!("skipped: Python, for it or numpy, pandas or scipy is not there");
    }
    growth(&chart);
    repair();
    match peak_memory() {
        Some(kib) => println!("most memory of all this, logs of all lengths in it: {:.0} MB", kib / 1_024.0),
        None => println!("skipped: memory, for this system does not tell"),
    }
}

fn fastest<T>(mut work: impl FnMut() -> T) -> (f64, T) {
    let mut timed = || {
        let begin = Instant::now();
        let result = work();
        (begin.elapsed().as_secs_f64(), result)
    };
    let mut best = timed();
    for _ in 1..TIMES {
        let next = timed();
        best.0 = best.0.min(next.0);
    }
    best
}

fn row(what: &str, seconds: f64, bytes: usize, windows: f64, python: Option<f64>) {
    let told = |p: f64| (format!("{:.0}", p * 1e3), format!("{:.0}", p / seconds));
    let (python, ratio) = python.map_or_else(Default::default, told);
    println!(
        "{what:24} {:10.2} {:12.1} {:16.0} {python:>10} {ratio:>8}",
        seconds * 1e3,
        bytes as f64 / seconds / 1e6,
        windows / seconds
    );
}

/// Seconds that a script takes for reading, loads and alignment.
fn python(log: &[u8]) -> Option<Vec<f64>> {
    let path = std::env::temp_dir().join(format!("tubtrace-speed-{}.tub", std::process::id()));
    std::fs::write(&path, log).ok()?;
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/references/speed.py");
    let python = std::env::var_os("PYTHON").unwrap_or_else(|| "python3".into());
    let run = Command::new(python)
        .arg(script)
        .arg(&path)
        .arg(CANDIDATES.to_string())
        .arg(CYCLES.to_string())
        .output();
    let _ = std::fs::remove_file(&path);
    let run = run.ok().filter(|r| r.status.success())?;
    let seconds: Option<Vec<f64>> =
        String::from_utf8_lossy(&run.stdout).lines().map(|l| l.parse().ok()).collect();
    seconds.filter(|s| s.len() == 3)
}

/// The whole job on logs of one run and more.
fn growth(chart: &Machine) {
    for runs in [1, 2, 4, 8] {
        let log = live(&night(runs)).recording.log;
        let (seconds, _) = fastest(|| findings_of(&log, chart));
        println!(
            "{:2} h: {:.0} ms, {:.1} ms an hour",
            runs * 3,
            seconds * 1e3,
            seconds * 1e3 / (runs * 3) as f64
        );
    }
}

/// Runs of each of two nights, and how often both stand in a file: 256 cycles.
const RUNS: usize = 8;
const ROUNDS: usize = 16;

/// What such a page may take, on all cores, and how large it may be.
const MOST_OF_PAGE: f64 = 2.0;
const MOST_BYTES: usize = 2_000_000;

/// The page of a repair by the command, from a meter's files of 256 cycles before it and as many after it: files in which two simulated nights come
/// again and again, no reading like the one before it, the last of every four with half of the heater's power before the repair.
fn repair() {
    let nights = [night(RUNS), Night { seed: 99, ..night(RUNS) }].map(|night| {
        parse(&live(&night).recording.log, Assumptions::default()).expect("an intact log").trace
    });
    let shop = Shop::new();
    for (name, faulty) in [("before.csv", true), ("after.csv", false)] {
        let mut file = String::from("time,lasts_s,watts\n");
        let (mut at, mut wander) = (0.0, 0_u32);
        for round in 0..2 * ROUNDS {
            let trace = &nights[round % 2];
            for step in &trace.steps {
                wander = wander.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let watts = step.power.0 * (1.0 + 0.01 * f64::from(wander) / f64::from(u32::MAX));
                let watts = if faulty && round % 4 == 3 && watts > 600.0 { watts / 2.0 } else { watts };
                let _ = writeln!(file, "{:.1},{:.1},{watts:.1}", at + step.start.0, step.duration().0);
            }
            at += trace.duration().0 + 60.0;
        }
        std::fs::write(shop.path(name), file).expect("a folder that can be written");
    }
    let begin = Instant::now();
    shop.well(&["report", "before.csv", "--after", "after.csv", "-o", "repair.html"]);
    let (took, bytes) = (begin.elapsed().as_secs_f64(), shop.bytes("repair.html").len());
    let met = took <= MOST_OF_PAGE && bytes < MOST_BYTES;
    println!(
        "a page of {0} cycles before and {0} after: {took:.1} s, {1} kB; wanted: at most {MOST_OF_PAGE} s, below {2} kB: {3}",
        2 * RUNS * ROUNDS,
        bytes / 1_000,
        MOST_BYTES / 1_000,
        if met { "met" } else { "missed" }
    );
}

/// The most memory of this process so far, KiB, where the system tells.
fn peak_memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
