//! Real dishwashers, where their days lie on this machine.

pub mod faults;
pub mod readings;

use std::path::{Path, PathBuf};

use tubtrace::analysis::Analysis;
use tubtrace::intervals::Cycle;
use tubtrace::log::{Assumptions, Log, read};

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
