//! A table: columns with their units, whatever file it becomes.

use tubtrace_units::{Loads, Seconds};

use crate::trace::{Clock, Trace, Zone};

/// A column of a table.
#[derive(Clone, Debug)]
pub struct Column {
    /// Its name in the file's header, in small letters, as in `lasts_s`.
    pub name: &'static str,
    /// The unit of its values, as in JSON; empty for words and counts.
    pub unit: &'static str,
    /// What it says, for who reads the file without this program.
    pub told: &'static str,
    /// Whether it follows from another column at nominal volts: a file that is read back leaves it out.
    pub derived: bool,
    /// Its values, one for each row.
    pub values: Values,
}

/// The values of a column.
#[derive(Clone, Debug)]
pub enum Values {
    /// Moments, from the first sample; shown by the clock of the table where it has one.
    Moment(Vec<Seconds>),
    /// Numbers that may be missing.
    Number(Vec<Option<f64>>),
    /// Whole numbers that count something; never missing.
    Count(Vec<u32>),
    /// One word of a fixed set for each row; never missing.
    Word(Vec<&'static str>),
    /// The loads that run at once, for each row.
    Loads(Vec<Loads>),
    /// Yes or no; missing where nobody knows.
    Flag(Vec<Option<bool>>),
}

/// Columns of the same length.
#[derive(Clone, Debug)]
pub struct Table {
    /// What its rows are: `readings` or `intervals`.
    pub name: &'static str,
    /// Its columns, from left to right; all have the same number of values.
    pub columns: Vec<Column>,
    /// Wall clock, if the log has one.
    pub clock: Option<Clock>,
    /// What holds for all rows.
    pub facts: Vec<(&'static str, String)>,
}

impl Table {
    pub(super) fn new(name: &'static str, trace: &Trace) -> Self {
        let volts = trace.nominal.volts.0;
        let measured = match trace.meter {
            crate::trace::Meter::Current => "current; watts are at nominal volts",
            crate::trace::Meter::Power => "power; amps are at nominal volts",
        };
        let facts = vec![
            // As it is: it goes into a file for programs, and a reader shows it as its own kind needs.
            ("label", trace.label.clone()),
            ("nominal_volts", format!("{volts}")),
            ("measured", measured.to_owned()),
            ("made_by", concat!("tubtrace ", env!("CARGO_PKG_VERSION")).to_owned()),
        ];
        Self { name, columns: Vec::new(), clock: trace.clock, facts }
    }

    pub(super) fn column(
        &mut self,
        name: &'static str,
        unit: &'static str,
        told: &'static str,
        values: Values,
    ) {
        self.columns.push(Column { name, unit, told, derived: false, values });
    }

    /// How many rows the table has: every column is as long.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.columns.first().map_or(0, |c| match &c.values {
            Values::Moment(v) => v.len(),
            Values::Number(v) => v.len(),
            Values::Count(v) => v.len(),
            Values::Word(v) => v.len(),
            Values::Loads(v) => v.len(),
            Values::Flag(v) => v.len(),
        })
    }

    /// A moment as ISO 8601, with the offset of local time where it is known; seconds where there is no clock.
    #[must_use]
    pub fn moment(&self, at: Seconds) -> String {
        let written = self.clock.and_then(|clock| {
            let local = clock.local(at)?.strftime("%Y-%m-%dT%H:%M:%S%.3f");
            Some(match clock.zone {
                Zone::Unsaid => local.to_string(),
                Zone::Utc => format!("{local}Z"),
                Zone::At(offset) => format!("{local}{}", crate::text::offset_digits(offset)),
            })
        });
        written.unwrap_or_else(|| number(at.0))
    }
}

/// A number with as many digits as it has.
pub(super) fn number(value: f64) -> String {
    rounded(value).to_string()
}

/// To a millionth: binary fractions have noise.
pub(super) fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}
