//! What really happened on a day, from the file beside its recording.

use std::path::Path;

use crate::coverage::{MAIN, Truths};
use crate::program::Interval;
use serde_json::Value;
use tubtrace_units::Load;

/// A cycle. All times are in seconds from the recording's first reading.
pub struct Cycle {
    /// Its first moment.
    pub start: f64,
    /// When the last load but the control went off.
    pub end: f64,
    /// The programme that was chosen.
    pub programme: String,
    /// A fault that changed something in it.
    pub fault: Option<String>,
    /// It came to its end by itself: nobody broke it off, and the control did not give up.
    pub finished: bool,
}

/// A time for which a load drew power, seconds.
pub struct On {
    /// Its place among the main loads.
    pub load: usize,
    /// When it went on.
    pub start: f64,
    /// When it went off.
    pub end: f64,
}

/// What happened in a recording.
pub struct Truth {
    /// Its cycles, in order of time.
    pub cycles: Vec<Cycle>,
    /// The loads that are compared.
    pub loads: Vec<On>,
    /// When a dispenser drew power, from and to.
    pub dispensed: Vec<(f64, f64)>,
    /// Everything that drew power: from, to, watts.
    pub drawn: Vec<(f64, f64, f64)>,
    /// The main loads of which it tells, all of them unless it says otherwise: who fitted a model to a recording knows only some.
    pub tells: Vec<Load>,
}

impl Truth {
    /// The stretches in which the same loads ran; rests shorter than `rest` seconds are none.
    #[must_use]
    pub fn stretches(&self, rest: f64) -> Truths {
        let main = self.loads.iter().map(|on| (MAIN[on.load], on.start, on.end));
        let dispensed = self.dispensed.iter().map(|&(from, to)| (Load::Dispenser, from, to));
        Truths::of(&main.chain(dispensed).collect::<Vec<_>>(), rest)
    }

    /// Intervals as far as this can be held against them, with the loads alone of which it tells.
    #[must_use]
    pub fn told(&self, cycles: &[Vec<Interval>]) -> Vec<Vec<Interval>> {
        let tells = |load: &String| self.tells.iter().any(|l| load == l.word());
        let told = |interval: &Interval| {
            let loads = interval.loads.iter().filter(|l| tells(l)).cloned().collect();
            Interval { loads, ..interval.clone() }
        };
        cycles.iter().map(|cycle| cycle.iter().map(told).collect()).collect()
    }

    /// Mean power from one time to another, watts.
    #[must_use]
    pub fn watts(&self, from: f64, to: f64) -> f64 {
        let within = |(start, end, watts): &(f64, f64, f64)| (end.min(to) - start.max(from)).max(0.0) * watts;
        self.drawn.iter().map(within).sum::<f64>() / (to - from)
    }
}

/// The truth beside a day's recording.
///
/// # Errors
/// A sentence with the file that cannot be read.
pub fn read(day: &Path) -> Result<Truth, String> {
    let recording = text(day)?;
    let first = recording.lines().nth(1).and_then(|l| l.split(',').next()).unwrap_or_default();
    read_from(&day.with_extension("truth.jsonl"), first)
}

/// The truth in a file, beside a recording that begins at `first`.
///
/// # Errors
/// As [`read`].
pub fn read_from(path: &Path, first: &str) -> Result<Truth, String> {
    let date = &first[..first.len().min(10)];
    let origin = seconds(first, date);
    let mut truth = Truth {
        cycles: Vec::new(),
        loads: Vec::new(),
        dispensed: Vec::new(),
        drawn: Vec::new(),
        tells: MAIN.to_vec(),
    };
    for line in text(path)?.lines().filter(|l| !l.is_empty()) {
        let told: Value = serde_json::from_str(line).map_err(|e| format!("{}: {e}", path.display()))?;
        let at = |field: &str| seconds(told[field].as_str().unwrap_or_default(), date) - origin;
        if told["type"] == "compared" {
            let named = |load: &Load| {
                told["loads"].as_array().is_some_and(|all| all.iter().any(|l| *l == load.word()))
            };
            truth.tells.retain(named);
            continue;
        }
        if told["type"] == "cycle" {
            let fault = told["fault"].as_str().map(str::to_owned);
            let programme = told["programme"].as_str().unwrap_or_default().to_owned();
            let (start, end) = (at("start"), at("last_load_off"));
            let finished = told["how"] == "finished";
            truth.cycles.push(Cycle { start, end, programme, fault, finished });
            continue;
        }
        let (start, end) = (at("start"), at("end"));
        truth.drawn.push((start, end, told["watts"].as_f64().unwrap_or(0.0)));
        if let Some(load) = MAIN.iter().position(|l| told["kind"] == *l.word()) {
            truth.loads.push(On { load, start, end });
        }
        if told["kind"] == Load::Dispenser.word() {
            truth.dispensed.push((start, end));
        }
    }
    Ok(truth)
}

fn text(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))
}

/// Seconds from the midnight of `date`; a recording ends at the next.
fn seconds(time: &str, date: &str) -> f64 {
    let (day, clock) = time.split_once('T').unwrap_or((date, "0:0:0"));
    let of_day = clock.split(':').fold(0.0, |sum, part| sum * 60.0 + part.parse::<f64>().unwrap_or(0.0));
    of_day + if day == date { 0.0 } else { 86_400.0 }
}
