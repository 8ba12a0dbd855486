//! Writes the traces of some cases, second by second, with the truth beside them, for `tests/references/baselines.py`:
//! `cargo run --release -p tubtrace-tests --example traces -- 300..310 FOLDER`.

use std::fmt::Write;
use std::process::ExitCode;

use tubtrace_simulator::scenario::{Case, Night};
use tubtrace_tests::live;
use tubtrace_tests::score::LOADS;
use tubtrace_units::Seconds;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let seeds = words.first().and_then(|s| {
        let (from, to) = s.split_once("..")?;
        Some(from.parse::<u64>().ok()?..to.parse().ok()?)
    });
    let (Some(seeds), Some(folder)) = (seeds, words.get(1)) else {
        eprintln!("traces A..B FOLDER");
        return ExitCode::from(2);
    };
    if let Err(error) = std::fs::create_dir_all(folder) {
        eprintln!("{folder}: {error}");
        return ExitCode::FAILURE;
    }
    for seed in seeds {
        let case = Case::draw(seed);
        for (name, night) in [("good", &case.good), ("night", &case.night)] {
            let path = std::path::Path::new(folder).join(format!("{seed}-{name}.csv"));
            if let Err(error) = std::fs::write(&path, table(night)) {
                eprintln!("{}: {error}", path.display());
                return ExitCode::FAILURE;
            }
        }
    }
    ExitCode::SUCCESS
}

/// `second,amps,supply,drain`, then a 1 for each load that runs, then the run (from 1; 0 is none), whether it is troubled,
/// and whether that is the logger's own trouble.
fn table(night: &Night) -> String {
    let worked = live(night);
    let (trace, truth) = (&worked.log.trace, &worked.recording.truth);
    let mut text = String::from("second,amps,supply,drain");
    LOADS.iter().for_each(|load| text.push_str(&format!(",{load}")));
    text.push_str(",run,troubled,loggers\n");
    let mut t = 0;
    for second in 0..trace.duration().0 as u64 {
        let (from, to) = (Seconds(second as f64), Seconds(second as f64 + 1.0));
        let mut sums = [0.0; 4];
        for step in trace.between(from, to) {
            let detail = step.detail.map_or([0.0; 2], |d| [d.supply.0, d.drain.0]);
            let values = [trace.amps(step.power).0, detail[0], detail[1], 1.0];
            sums.iter_mut().zip(values).for_each(|(sum, v)| *sum += v * step.duration().0);
        }
        while t + 1 < truth.intervals.len() && truth.intervals[t].end.0 <= from.0 + 0.5 {
            t += 1;
        }
        let run = truth.cycles.iter().position(|c| c.start <= from && from < c.end);
        let trouble = run.and_then(|r| truth.cycles[r].trouble);
        let mean = |i: usize| sums[i] / f64::max(sums[3], 1e-9);
        let _ = write!(text, "{second},{:.4},{:.2},{:.2}", mean(0), mean(1), mean(2));
        for load in LOADS {
            text.push_str(if truth.intervals[t].loads.has(load) { ",1" } else { ",0" });
        }
        let (troubled, loggers) = (trouble.is_some(), trouble.is_some_and(|t| t.fault.is_loggers()));
        let _ = writeln!(text, ",{},{},{}", run.map_or(0, |r| r + 1), u8::from(troubled), u8::from(loggers));
    }
    text
}
