//! Real dishwashers, where their days lie on this machine.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use tubtrace::analysis::Analysis;
use tubtrace::findings::{Judged, Surroundings, judge};
use tubtrace::intervals::{Cycle, Kind};
use tubtrace::learn::learn;
use tubtrace::log::{Assumptions, Log, read};
use tubtrace_units::Seconds;

/// The days of a machine (all days for ""), a reading every second or few, or nothing, and that said aloud, where
/// TUBTRACE_REAL_CYCLES is not set.
///
/// # Panics
/// When the folder cannot be read, or has no day of the machine.
#[must_use]
pub fn days(machine: &str) -> Vec<PathBuf> {
    let Some(folder) = cycles_folder() else {
        println!("skipped: {REAL_CYCLES} is not set, so there are no real cycles of {machine} to look at");
        return Vec::new();
    };
    let days = days_in(&folder, machine);
    assert!(!days.is_empty(), "no day of {machine} in {}", folder.display());
    days
}

/// Likewise days of one-minute means: those that lie beside the tests, which are of one machine, where TUBTRACE_REAL_MINUTES is not set.
///
/// # Panics
/// When the folder cannot be read.
#[must_use]
pub fn days_of_minutes(machine: &str) -> Vec<PathBuf> {
    let days = minutes_folder().map(|folder| days_in(&folder, machine)).unwrap_or_default();
    if days.is_empty() {
        println!(
            "skipped: no days of {machine} by the minute; {REAL_MINUTES} can name a folder that has some"
        );
    }
    days
}

const REAL_CYCLES: &str = "TUBTRACE_REAL_CYCLES";
const REAL_MINUTES: &str = "TUBTRACE_REAL_MINUTES";

/// Where real days with a reading every few seconds lie, if anywhere.
#[must_use]
pub fn cycles_folder() -> Option<PathBuf> {
    std::env::var_os(REAL_CYCLES).filter(|f| !f.is_empty()).map(PathBuf::from)
}

/// Where real days of one-minute means lie: those that lie beside the tests unless the environment names others, or, by an empty name, none.
#[must_use]
pub fn minutes_folder() -> Option<PathBuf> {
    let Some(folder) = std::env::var_os(REAL_MINUTES) else {
        return Some(Path::new(env!("CARGO_MANIFEST_DIR")).join("recordings"));
    };
    Some(PathBuf::from(folder)).filter(|f| !f.as_os_str().is_empty())
}

fn days_in(folder: &Path, machine: &str) -> Vec<PathBuf> {
    let files = std::fs::read_dir(folder).unwrap_or_else(|e| panic!("cannot read {}: {e}", folder.display()));
    let mut days: Vec<PathBuf> = files
        .map(|f| f.expect("the folder can be read").path())
        .filter(|p| p.file_name().is_some_and(|n| n.to_string_lossy().starts_with(machine)))
        .filter(|p| p.extension().is_some_and(|e| e == "csv"))
        .collect();
    days.sort();
    days
}

/// A day's log and its cycles.
///
/// # Panics
/// When it is no log.
#[must_use]
pub fn worked(day: &Path) -> (Log, Vec<Cycle>) {
    let log = read(day, Assumptions::default()).expect("a day is a log");
    let cycles = Analysis::of(&log.trace).cycles;
    (log, cycles)
}

/// A programme as it can be told without a name: how often it heats and, roughly, how long it lasts, in stretches of 35 minutes.
pub type Programme = (usize, u32);

/// A whole cycle, the day it is from, and what is known of that day's log.
pub type Seen = (PathBuf, Cycle, Surroundings);

/// The whole cycles of a machine's days, programme by programme.
#[must_use]
pub fn programmes(
    days: impl IntoIterator<Item = (PathBuf, Vec<Cycle>, Surroundings)>,
) -> BTreeMap<Programme, Vec<Seen>> {
    let mut programmes: BTreeMap<Programme, Vec<Seen>> = BTreeMap::new();
    for (day, cycles, surroundings) in days {
        for cycle in cycles.into_iter().filter(|c| !c.cut_at_start && !c.cut_at_end) {
            programmes.entry(programme(&cycle)).or_default().push((day.clone(), cycle, surroundings));
        }
    }
    programmes
}

fn programme(cycle: &Cycle) -> Programme {
    let heats: Vec<_> = cycle.intervals.iter().filter(|i| i.kind == Kind::Heat).collect();
    let apart = heats.windows(2).filter(|w| w[1].start - w[0].end > Seconds(60.0)).count();
    (apart + 1, (cycle.duration().0 / 60.0 / 35.0) as u32)
}

/// Every other cycle of a programme, held against a chart of those between them; none of fewer than four.
///
/// # Panics
/// When whole cycles make no chart.
#[must_use]
pub fn half_by_half(cycles: &[Seen]) -> Vec<(&Seen, Judged)> {
    if cycles.len() < 4 {
        return Vec::new();
    }
    let good: Vec<&Cycle> = cycles.iter().step_by(2).map(|(_, c, _)| c).collect();
    let chart = learn(&good, "half", cycles[0].2.resolution).expect("whole cycles make a chart").machine;
    cycles.iter().skip(1).step_by(2).map(|seen| (seen, judge(&chart, &seen.1, seen.2))).collect()
}
