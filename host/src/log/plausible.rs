//! Readings that no dishwasher on a household circuit gives: then the units are others than they are taken for.

use tubtrace_units::Seconds;

use super::columns::Unit;
use super::constants::{MOST_AMPS, MOST_VOLTS, NEARLY_ZERO, NO_GLITCH, READINGS_APART};
use super::notes::Notes;
use super::row::{Refused, Row, Rows};
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

/// Readings below zero: a little is the meter's error, much is a clamp that sits the other way round, or power that is fed in.
#[derive(Default)]
pub(super) struct BelowZero {
    /// What all readings below zero and above it come to.
    below: f64,
    above: f64,
    /// The first that is more than an error.
    first: Option<(u32, f64)>,
}

impl BelowZero {
    /// The row as it is used.
    ///
    /// # Errors
    /// When its reading is further below zero than any error.
    pub(super) fn taken(&mut self, row: Row, unit: Unit, notes: &mut Notes) -> Result<Row, Refused> {
        if row.value >= 0.0 {
            self.above += row.value;
            return Ok(row);
        }
        self.below -= row.value;
        if row.value >= -NEARLY_ZERO.get() * most(unit) {
            notes.add("reading a little below zero, taken as zero", || format!("line {}", row.line));
            return Ok(Row { value: 0.0, ..row });
        }
        self.first = self.first.or(Some((row.line, row.value)));
        let what =
            "reading below zero, skipped (does the clamp sit the other way round? then say --scale -1)";
        Err(Refused { what, value: row.value.to_string() })
    }

    /// # Errors
    /// A sentence, where there is more below zero than above it.
    pub(super) fn asks(&self, unit: Unit) -> Result<(), String> {
        let Some((line, value)) = self.first.filter(|_| self.below > self.above) else { return Ok(()) };
        let name = if unit == Unit::Amps { "A" } else { "W" };
        Err(format!(
            "line {line}: {value} {name}, and most of what it has is below zero, so the clamp sits the other way round; say so: --scale -1"
        ))
    }
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
        let watts = if unit == Unit::Amps { ", or watts: --column watts=HEADER" } else { "" };
        let most = most(unit);
        Err(format!(
            "line {line}: {value} {name}, after others like it, is more than any circuit of a household carries ({most} {name}); if these are {small}, say so: --scale 0.001{watts}; to take them as they are: tubtrace import --force"
        ))
    }
}

/// Days that a spreadsheet counts from 1900 to 1970, and to 2100: no times in seconds that are less than a millisecond apart.
const SERIAL: std::ops::Range<f64> = 25_569.0..73_050.0;

/// Whether times that are counted are those of a spreadsheet, whose readings are `typical` apart.
///
/// # Errors
/// A sentence, when they are.
pub(super) fn counted(rows: &Rows, typical: f64) -> Result<(), String> {
    if SERIAL.contains(&rows.times[0]) && typical < READINGS_APART.get().0 / 86_400.0 {
        return Err(format!(
            "line {}: {}, and the next is {typical:.6} later: these are no seconds, but days as a spreadsheet counts them; say so: --time days",
            rows.line(0),
            rows.times[0]
        ));
    }
    Ok(())
}

/// Whether the times can be what they are taken for: `quick` is the interval that nine in ten exceed, `length` that of the log.
///
/// # Errors
/// A sentence, when they cannot.
pub(super) fn times(rows: &Rows, quick: f64, holds: bool) -> Result<(), String> {
    let length = rows.times[rows.len() - 1] - rows.times[0];
    if !holds && quick > READINGS_APART.get().0 {
        return Err(format!(
            "its readings are {quick} s apart, too far to see a machine fill or drain; a dishwasher needs one a minute or more often; if its times are milliseconds, say so: --time milliseconds"
        ));
    }
    if length > LONGEST {
        return Err(format!(
            "from line {} to line {} it is {} long, and a log is no longer than 400 days; if its times are milliseconds, say so: --time milliseconds; otherwise split it",
            rows.line(0),
            rows.line(rows.len() - 1),
            duration(Seconds(length)),
        ));
    }
    Ok(())
}
