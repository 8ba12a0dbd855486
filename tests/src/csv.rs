//! A text that is a meter's CSV, read; and what was noted of it.

use tubtrace::log::{Assumptions, Log, parse};

/// The log of a text.
///
/// # Errors
/// Why it is none.
pub fn csv(text: &str) -> Result<Log, String> {
    parse(text.as_bytes(), Assumptions::default())
}

/// Its readings, in watts.
#[must_use]
pub fn powers(log: &Log) -> Vec<f64> {
    log.trace.steps.iter().map(|s| s.power.0).collect()
}

/// Whether this was noted, so often.
#[must_use]
pub fn noted(log: &Log, what: &str, count: u64) -> bool {
    log.notes.all().iter().any(|n| n.what.contains(what) && n.count == count)
}
