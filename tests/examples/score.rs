//! `cargo xtask score [--seeds A..B] [--json] [--rules] [--tell] [--limits] [--keep FOLDER]`: `--rules` counts what each pass
//! over the loads changes. A second run over kept nights takes a tenth
//! of the time; whoever changes the simulator or the board empties the folder.

use std::ops::Range;
use std::path::PathBuf;
use std::process::ExitCode;

use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;
use serde_json::json;
use tubtrace_tests::score::{LoadScore, Score};
use tubtrace_units::Load;

/// Seeds that may be looked at.
const OPEN: Range<u64> = 300..340;

struct Wanted {
    seeds: Range<u64>,
    json: bool,
    rules: bool,
    tell: bool,
    limits: bool,
    keep: Option<PathBuf>,
}

fn main() -> ExitCode {
    let Some(wanted) = wanted() else {
        eprintln!("cargo xtask score [--seeds A..B] [--json] [--rules] [--tell] [--limits] [--keep FOLDER]");
        return ExitCode::from(2);
    };
    let score = run(&wanted);
    if wanted.json {
        println!("{}", as_json(&score));
    } else {
        print!("{}", table(&score));
    }
    if wanted.rules {
        for (rules, what) in score.rules.iter().zip(["all channels", "current alone"]) {
            println!("\n{what}:\n{}", rules.table());
        }
    }
    if wanted.limits && !within_limits(&score) { ExitCode::FAILURE } else { ExitCode::SUCCESS }
}

fn wanted() -> Option<Wanted> {
    let mut wanted =
        Wanted { seeds: OPEN, json: false, rules: false, tell: false, limits: false, keep: None };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--json" => wanted.json = true,
            "--rules" => wanted.rules = true,
            "--tell" => wanted.tell = true,
            "--limits" => wanted.limits = true,
            "--keep" => wanted.keep = Some(words.next()?.into()),
            "--seeds" => {
                let seeds = words.next()?;
                let (from, to) = seeds.split_once("..")?;
                wanted.seeds = from.parse().ok()?..to.parse().ok()?;
            }
            _ => return None,
        }
    }
    Some(wanted)
}

/// All seeds, on all cores. A simulated night has two threads of its own, of which one mostly waits.
fn run(wanted: &Wanted) -> Score {
    let bar = ProgressBar::new(wanted.seeds.end - wanted.seeds.start);
    if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos} of {len} cases, {eta} left") {
        bar.set_style(style);
    }
    let of_one = |seed| {
        let score = Score::of(seed, wanted.keep.as_deref(), |what| {
            if wanted.tell {
                bar.suspend(|| println!("{what}"));
            }
        });
        bar.inc(1);
        score
    };
    let total =
        wanted.seeds.clone().into_par_iter().map(of_one).reduce(Score::default, |mut total, score| {
            total.add(score);
            total
        });
    bar.finish_and_clear();
    total
}

fn percent(part: u64, whole: u64) -> f64 {
    100.0 * part as f64 / whole.max(1) as f64
}

fn table(score: &Score) -> String {
    let mut text = String::new();
    let f1 = |scores: [(Load, Option<f64>); 6]| -> String {
        let shown =
            scores.map(|(load, f1)| format!("{load} {}", f1.map_or("-".into(), |f| format!("{f:.4}"))));
        shown.join("  ")
    };
    let (runs, found, first, three) = score.cycles.all();
    let mut row = |what: &str, value: String| text.push_str(&format!("{what:36} {value}\n"));
    row("load F1, all channels", f1(score.all.f1()));
    row("load F1, current alone", f1(score.current.f1()));
    let edge = |s: &LoadScore, part| s.edge(part).map_or("-".into(), |e| format!("{e:.2} s"));
    for (name, loads) in [("all channels", &score.all), ("current alone", &score.current)] {
        row(&format!("edges, {name}"), format!("median {}, 95 % {}", edge(loads, 0.5), edge(loads, 0.95)));
        let of = &loads.reliability;
        let scores = format!("{:.4}; Brier {:.4}, log loss {:.4}", of.error(), of.brier(), of.log_loss());
        row(&format!("calibration error, {name}"), scores);
    }
    row(
        "nights with a wrong count of cycles",
        format!("{} of {}", score.cycles.miscounted, score.cycles.nights),
    );
    row("good cycles left out of charts", format!("{}", score.cycles.left_out));
    row("faults found", format!("{:.1} % of {runs}", percent(found, runs)));
    row("right cause first", format!("{:.1} %", percent(first, runs)));
    row("right cause among three", format!("{:.1} %", percent(three, runs)));
    let (healthy, alarms) = score.cycles.healthy;
    row("false alarms in 100 healthy cycles", format!("{:.1} (of {healthy})", percent(alarms, healthy)));
    row("time for 12 h of log", format!("{:.0} ms", score.seconds / score.hours.max(1e-9) * 12_000.0));
    for (name, loads) in [("all channels", &score.all), ("current alone", &score.current)] {
        text.push_str(&format!("\n{name}:\n{}", loads.reliability.table()));
    }
    for (name, stated) in ["all channels", "current alone"].iter().zip(&score.stated) {
        text.push_str(&format!("\nhealthy cycles, {name}:\n{}", stated.table()));
    }
    text.push('\n');
    for (fault, (runs, found, first, three)) in &score.cycles.faults {
        text.push_str(&format!(
            "  {:18} {runs:4} runs, {found:4} found, {first:4} first, {three:4} in three\n",
            format!("{fault:?}")
        ));
    }
    text
}

fn as_json(score: &Score) -> String {
    let f1 = |s: &LoadScore| -> serde_json::Value {
        s.f1()
            .into_iter()
            .map(|(load, f1)| (load.to_string(), json!(f1)))
            .collect::<serde_json::Map<_, _>>()
            .into()
    };
    let loads = |s: &LoadScore| json!({ "f1": f1(s), "edge_median_s": s.edge(0.5), "edge_95_s": s.edge(0.95), "calibration_error": s.reliability.error(), "brier": s.reliability.brier(), "log_loss": s.reliability.log_loss() });
    let (runs, found, first, three) = score.cycles.all();
    let (healthy, alarms) = score.cycles.healthy;
    json!({
        "all_channels": loads(&score.all),
        "current_alone": loads(&score.current),
        "cycles": { "nights": score.cycles.nights, "miscounted": score.cycles.miscounted },
        "faults": { "runs": runs, "found": found, "cause_first": first, "cause_in_three": three },
        "healthy": { "cycles": healthy, "false_alarms": alarms },
        "ms_for_12_h": score.seconds / score.hours.max(1e-9) * 12_000.0,
    })
    .to_string()
}

/// What a change must not fall below on the slice that CI runs; the figures that are wanted stand in DEVELOPERS.md.
fn within_limits(score: &Score) -> bool {
    let (runs, found, first, _) = score.cycles.all();
    let (healthy, alarms) = score.cycles.healthy;
    let least = |loads: &LoadScore, load: Load, limit: f64| {
        loads.f1().iter().any(|(l, f1)| *l == load && f1.is_some_and(|f| f >= limit))
    };
    let kept = [
        ("heater, all channels", least(&score.all, Load::Heater, 0.999)),
        ("wash pump, all channels", least(&score.all, Load::WashPump, 0.995)),
        ("drain pump, all channels", least(&score.all, Load::DrainPump, 0.99)),
        ("fill valve, all channels", least(&score.all, Load::FillValve, 0.99)),
        ("heater, current alone", least(&score.current, Load::Heater, 0.999)),
        ("wash pump, current alone", least(&score.current, Load::WashPump, 0.99)),
        ("drain pump, current alone", least(&score.current, Load::DrainPump, 0.97)),
        ("fill valve, current alone", least(&score.current, Load::FillValve, 0.95)),
        ("edges within 0.25 s", score.all.edge(0.95).is_some_and(|e| e <= 0.25)),
        ("faults found", percent(found, runs) >= 95.0),
        ("right cause first", percent(first, runs) >= 90.0),
        ("false alarms", percent(alarms, healthy) <= 5.0),
    ];
    for (what, _) in kept.iter().filter(|(_, kept)| !kept) {
        eprintln!("below its limit: {what}");
    }
    kept.iter().all(|(_, kept)| *kept)
}
