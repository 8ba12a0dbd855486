//! Real dishwashers, where their days lie on this machine.

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
    days_in("TUBTRACE_REAL_CYCLES", machine)
}

/// Likewise days of one-minute means, where TUBTRACE_REAL_MINUTES is set.
///
/// # Panics
/// As [`days`].
#[must_use]
pub fn days_of_minutes(machine: &str) -> Vec<PathBuf> {
    days_in("TUBTRACE_REAL_MINUTES", machine)
}

fn days_in(variable: &str, machine: &str) -> Vec<PathBuf> {
    let Some(folder) = std::env::var_os(variable) else {
        println!("skipped: {variable} is not set, so there are no real cycles of {machine} to look at");
        return Vec::new();
    };
    let files = std::fs::read_dir(&folder).unwrap_or_else(|e| panic!("{variable} names no folder: {e}"));
    let mut days: Vec<PathBuf> = files
        .map(|f| f.expect("the folder can be read").path())
        .filter(|p| p.file_name().is_some_and(|n| n.to_string_lossy().starts_with(machine)))
        .filter(|p| p.extension().is_some_and(|e| e == "csv"))
        .collect();
    days.sort();
    assert!(!days.is_empty(), "no day of {machine} in {}", Path::new(&folder).display());
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
