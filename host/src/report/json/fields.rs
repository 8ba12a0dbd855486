//! What all objects have in common.

use serde::Serialize;
use tubtrace_units::Seconds;

use crate::trace::Trace;

/// Time of the first sample, where the log knows it.
pub(super) fn start(trace: &Trace) -> Option<String> {
    trace.clock.map(|c| c.start.display_with_offset(c.zone.offset()).to_string())
}

/// Seconds to a millisecond: more digits would be the noise of binary fractions.
pub(super) fn seconds(time: Seconds) -> f64 {
    rounded(time.0)
}

/// To a thousandth.
pub(super) fn rounded(value: f64) -> f64 {
    (value * 1_000.0).round() / 1_000.0
}

/// An object on one line.
pub(super) fn to_line(object: &impl Serialize) -> String {
    // Strings and finite numbers only: it cannot fail.
    serde_json::to_string(object).unwrap_or_default()
}
