//! Readings that no dishwasher on a household circuit gives: then the units are others than they are taken for.

use tubtrace_units::Seconds;

use super::columns::Unit;
use super::row::Rows;
use crate::text::duration;

/// Amperes that no circuit of a household carries: breakers for households are made up to 125 A (IEC 60898-1, 1).
const AMPS: f64 = 125.0;

/// Watts likewise: so many amperes at the 440 V between phases up to which the same breakers are made.
const WATTS: f64 = AMPS * 440.0;

/// Readings beyond it one behind the other that are no glitch of a meter. A choice: glitches last a reading or two.
const NO_GLITCH: usize = 5;

/// Readings further apart than this, in seconds, show nothing of a fill or a drain, which last from one to two minutes (common practice,
/// no source).
const APART: f64 = 90.0;

/// A log is no longer than this, in seconds: four hundred days.
pub(super) const LONGEST: f64 = 400.0 * 86_400.0;

/// No reading says that it holds for longer, in seconds: a day.
pub(super) const LONGEST_READING: f64 = 86_400.0;

/// More than a household's circuit carries.
pub(super) fn is_beyond(value: f64, unit: Unit) -> bool {
    value > if unit == Unit::Amps { AMPS } else { WATTS }
}

/// Counts readings that are beyond, one behind the other.
#[derive(Default)]
pub(super) struct Beyond(usize);

impl Beyond {
    /// Takes the next reading.
    ///
    /// # Errors
    /// A sentence, when there were too many.
    pub(super) fn take(&mut self, value: f64, unit: Unit, line: usize) -> Result<(), String> {
        self.0 = if is_beyond(value, unit) { self.0 + 1 } else { 0 };
        if self.0 < NO_GLITCH {
            return Ok(());
        }
        let (name, small, most) = match unit {
            Unit::Amps => ("A", "milliamperes", AMPS),
            Unit::Watts => ("W", "milliwatts", WATTS),
        };
        Err(format!(
            "line {line}: {value} {name}, after others like it, is more than any circuit of a household carries ({most} {name}); if these are {small}, say so: tubtrace import --scale 0.001"
        ))
    }
}

/// Whether the times can be what they are taken for: `quick` is the interval that nine in ten exceed, `length` that of the log.
///
/// # Errors
/// A sentence, when they cannot.
pub(super) fn times(rows: &Rows, quick: f64, holds: bool) -> Result<(), String> {
    let length = rows.times[rows.len() - 1] - rows.times[0];
    if !holds && quick > APART {
        return Err(format!(
            "its readings are {quick} s apart, too far to see a machine fill or drain; a dishwasher needs one a minute or more often; if its times are milliseconds, say so: tubtrace import --time milliseconds"
        ));
    }
    if length > LONGEST {
        return Err(format!(
            "from line {} to line {} it is {} long, and a log is no longer than 400 days; if its times are milliseconds, say so: tubtrace import --time milliseconds; otherwise split it",
            rows.line(0),
            rows.line(rows.len() - 1),
            duration(Seconds(length)),
        ));
    }
    Ok(())
}
