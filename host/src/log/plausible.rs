//! Readings that no dishwasher on a household circuit gives: then the units are others than they are taken for.

use tubtrace_units::Seconds;

use super::columns::Unit;
use super::constants::{MOST_AMPS, MOST_VOLTS, NO_GLITCH, READINGS_APART};
use super::row::Rows;
use crate::text::duration;

/// A log is no longer than this, in seconds: four hundred days.
pub(super) const LONGEST: f64 = 400.0 * 86_400.0;

/// No reading says that it holds for longer, in seconds: a day.
pub(super) const LONGEST_READING: f64 = 86_400.0;

/// The most that a household's circuit carries.
fn most(unit: Unit) -> f64 {
    match unit {
        Unit::Amps => MOST_AMPS.get().0,
        Unit::Watts => MOST_AMPS.get().0 * MOST_VOLTS.get(),
    }
}

/// Whether a reading is more than a household's circuit carries.
pub(super) fn is_beyond(value: f64, unit: Unit) -> bool {
    value > most(unit)
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
        if self.0 < NO_GLITCH.get() {
            return Ok(());
        }
        let (name, small) = match unit {
            Unit::Amps => ("A", "milliamperes"),
            Unit::Watts => ("W", "milliwatts"),
        };
        let most = most(unit);
        Err(format!(
            "line {line}: {value} {name}, after others like it, is more than any circuit of a household carries ({most} {name}); if these are {small}, say so: tubtrace import --scale 0.001; to take them as they are: tubtrace import --force"
        ))
    }
}

/// Whether the times can be what they are taken for: `quick` is the interval that nine in ten exceed, `length` that of the log.
///
/// # Errors
/// A sentence, when they cannot.
pub(super) fn times(rows: &Rows, quick: f64, holds: bool) -> Result<(), String> {
    let length = rows.times[rows.len() - 1] - rows.times[0];
    if !holds && quick > READINGS_APART.get().0 {
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
