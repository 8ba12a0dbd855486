//! The program as people run it: nothing is sorted, chosen or cleaned before it.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::command::tubtrace;
use serde_json::Value;

/// What `check` says of one day.
pub enum Said {
    /// A verdict for each of its cycles.
    Cycles(Vec<Verdict>),
    /// No verdict, and why: the last sentence of the error stream without the file's name.
    Nothing(String),
}

/// What is said of one cycle.
pub struct Verdict {
    /// Its first moment, in seconds from the first reading.
    pub start: f64,
    /// End of the cycle, in seconds from the first sample.
    pub end: f64,
    /// Whether `check` says that it departs.
    pub departs: bool,
    /// Whether it is said to be of a programme that is not known.
    pub unknown: bool,
    /// The programme that it is held against, if one is known.
    pub programme: Option<String>,
    /// The odds that it is of the programme that is named, if any are stated.
    pub odds: Option<f64>,
    /// The kinds of its findings, the first to begin with.
    pub findings: Vec<String>,
    /// The same with their numbers.
    pub told: Vec<String>,
    /// The first answer that it is part of, or what is advised of what is unusual where there is none.
    pub advised: Option<Advised>,
    /// The kinds of what is told as unusual: no cycle departs for it.
    pub unusual: Vec<String>,
}

/// What is advised of a finding.
#[derive(Clone)]
pub struct Advised {
    /// The words of what may be behind it, the likeliest first.
    pub suspects: Vec<String>,
    /// The word of what to measure first.
    pub next: String,
    /// How many answers of the log stand before it.
    pub place: usize,
}

/// An interval of the program's own timeline.
#[derive(Clone)]
pub struct Interval {
    /// "fill", "wash", ...
    pub name: String,
    /// Begin of the interval, in seconds from the first sample.
    pub start: f64,
    /// End of the interval, in seconds from the first sample.
    pub end: f64,
    /// What runs in it: "heater", "wash-pump", ...
    pub loads: Vec<String>,
    /// How sure the program is of that, 0 to 1.
    pub certainty: f64,
    /// Expanded uncertainty of how long it lasts, seconds.
    pub lasts_doubt: f64,
    /// What is drawn in it, watts.
    pub watts: f64,
    /// Expanded uncertainty of that, watts.
    pub watts_doubt: f64,
}

impl From<&tubtrace::intervals::Interval> for Interval {
    fn from(of: &tubtrace::intervals::Interval) -> Self {
        Self {
            name: of.kind.word().to_owned(),
            start: of.start.0,
            end: of.end.0,
            loads: of.loads.iter().map(|load| load.word().to_owned()).collect(),
            certainty: of.certainty,
            lasts_doubt: of.lasts_doubt().0,
            watts: of.measured.power.0,
            watts_doubt: of.measured.power_doubt().unwrap_or_default().0,
        }
    }
}

/// Learns a chart of whole days into `chart`; gives how many cycles went in and how many there were.
///
/// # Errors
/// A sentence that says why there is no chart.
pub fn learn(days: &[&Path], chart: &Path) -> Result<(u32, u32), String> {
    let output = run(Command::new(tubtrace()).arg("learn").args(days).arg("-o").arg(chart).arg("--force"))?;
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    if !output.status.success() {
        return Err(last_sentence(&said));
    }
    // "learned from 24 of 26 cycles"
    let words: Vec<&str> = said.split_whitespace().collect();
    let at = words.windows(2).rposition(|w| w == ["learned", "from"]).ok_or_else(|| last_sentence(&said))?;
    let number = |n: usize| words.get(at + n).and_then(|w| w.parse().ok()).unwrap_or(0);
    Ok((number(2), number(4)))
}

/// Checks a day against a chart, or without one.
///
/// # Errors
/// A sentence that says why the program cannot be run.
pub fn check(day: &Path, chart: Option<&Path>) -> Result<Said, String> {
    let chart = chart.map(|chart| [OsStr::new("--chart"), chart.as_os_str()]);
    check_with(day, chart.as_ref().map_or(&[], |words| words.as_slice()))
}

/// Checks a day with these words on the command line.
///
/// # Errors
/// As [`check`].
pub fn check_with(day: &Path, words: &[&OsStr]) -> Result<Said, String> {
    let output = run(Command::new(tubtrace()).arg("check").arg(day).arg("--json").args(words))?;
    let Ok(told) = serde_json::from_slice::<Value>(&output.stdout) else {
        let why = String::from_utf8_lossy(&output.stderr);
        // A program of another build knows other words: that is no day without a verdict.
        if why.contains("try '--help'") {
            return Err(format!("{} is of another build: {}", tubtrace().display(), why.trim()));
        }
        return Ok(Said::Nothing(last_sentence(&why)));
    };
    let (mut findings, mut unusual) = (by_cycle(&told["findings"]), by_cycle(&told["unusual"]));
    let cycles = told["cycles"].as_array().into_iter().flatten();
    let verdict = |c: &Value| {
        let number = c["cycle"].as_u64().unwrap_or(0);
        let own = findings.remove(&number).unwrap_or_default();
        let unusual = unusual.remove(&number).unwrap_or_default();
        Verdict {
            start: c["start_s"].as_f64().unwrap_or(0.0),
            end: c["end_s"].as_f64().unwrap_or(0.0),
            departs: c["verdict"] == "departs",
            unknown: c["verdict"] == "unknown-programme",
            programme: c["programme"].as_str().map(str::to_owned),
            odds: c["odds"].as_f64(),
            findings: own.iter().map(|f| word(&f["kind"])).collect(),
            told: own.iter().map(|f| with_numbers(f)).collect(),
            advised: answer(&told["diagnoses"], number).or(unusual.first().map(|f| advised(f))),
            unusual: unusual.iter().map(|f| word(&f["kind"])).collect(),
        }
    };
    Ok(Said::Cycles(cycles.map(verdict).collect()))
}

/// Findings by the number of their cycle.
fn by_cycle(all: &Value) -> BTreeMap<u64, Vec<&Value>> {
    let mut cycles: BTreeMap<u64, Vec<&Value>> = BTreeMap::new();
    for finding in all.as_array().into_iter().flatten() {
        cycles.entry(finding["cycle"].as_u64().unwrap_or(0)).or_default().push(finding);
    }
    cycles
}

fn word(of: &Value) -> String {
    of.as_str().unwrap_or_default().to_owned()
}

fn with_numbers(finding: &Value) -> String {
    let numbers = ["interval", "start_s", "measured", "expected", "unit", "certainty"];
    let numbers = numbers.map(|field| finding[field].to_string());
    format!("{} {}", word(&finding["kind"]), numbers.join(" "))
}

fn advised(finding: &Value) -> Advised {
    let suspects = finding["suspects"].as_array().into_iter().flatten();
    Advised { suspects: suspects.map(word).collect(), next: word(&finding["measurement"]), place: usize::MAX }
}

/// The first answer that a cycle is part of.
fn answer(all: &Value, cycle: u64) -> Option<Advised> {
    let all = all.as_array()?.iter().enumerate();
    let is_of = |d: &Value| d["cycles"].as_array().is_some_and(|own| own.iter().any(|n| *n == cycle));
    let (place, found) = all.into_iter().find(|(_, d)| is_of(d))?;
    let suspects = found["suspects"].as_array().into_iter().flatten().map(|s| word(&s["suspect"]));
    Some(Advised {
        suspects: suspects.collect(),
        next: word(&found["measurements"][0]["measurement"]),
        place,
    })
}

/// The cycles of a day as the program times them, those that the file cuts left out.
///
/// # Errors
/// As [`check`].
pub fn whole_cycles(day: &Path) -> Result<Vec<Vec<Interval>>, String> {
    timed(day, |c| c["begins_before_log"] == false && c["ends_after_log"] == false)
}

/// All cycles of a day as the program times them.
///
/// # Errors
/// As [`check`].
pub fn cycles(day: &Path) -> Result<Vec<Vec<Interval>>, String> {
    timed(day, |_| true)
}

fn timed(day: &Path, wanted: impl Fn(&Value) -> bool) -> Result<Vec<Vec<Interval>>, String> {
    let output = run(Command::new(tubtrace()).arg("timeline").arg(day).arg("--json"))?;
    let told: Value = serde_json::from_slice(&output.stdout).unwrap_or_default();
    let cycles = told["cycles"].as_array().into_iter().flatten().filter(|c| wanted(c));
    Ok(cycles.map(|c| c["intervals"].as_array().into_iter().flatten().map(interval).collect()).collect())
}

fn interval(of: &Value) -> Interval {
    let number = |field: &str| of[field].as_f64().unwrap_or(0.0);
    let loads = of["loads"].as_array().into_iter().flatten();
    Interval {
        name: of["name"].as_str().unwrap_or_default().to_owned(),
        start: number("start_s"),
        end: number("end_s"),
        loads: loads.filter_map(Value::as_str).map(str::to_owned).collect(),
        certainty: number("certainty"),
        lasts_doubt: number("lasts_uncertainty_s"),
        watts: number("watts"),
        watts_doubt: number("watts_uncertainty"),
    }
}

fn run(command: &mut Command) -> Result<std::process::Output, String> {
    command.output().map_err(|e| format!("{}: {e}", PathBuf::from(command.get_program()).display()))
}

fn last_sentence(said: &str) -> String {
    let line = said.lines().last().unwrap_or_default().trim_start_matches("tubtrace: ");
    let words = line.rsplit(".csv: ").next().unwrap_or(line);
    // Numbers differ from day to day, reasons do not.
    words.split([';', ',']).next().unwrap_or(words).replace(|c: char| c.is_ascii_digit(), "#")
}
