//! What a person says of a meter's CSV that its header does not.

use jiff::civil::Date;
use jiff::tz::TimeZone;

/// The word for times in milliseconds, where [`Layout::time`] could have the letters of strptime.
pub const MILLISECONDS: &str = "milliseconds";

/// The word for days as spreadsheets count them, from the last but one of 1899 on.
pub const DAYS: &str = "days";

/// How to read a CSV.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Headers of columns that are called something else here: (what it is here, what the file calls it).
    pub columns: Vec<(String, String)>,
    /// A factor for watts or amps: 1000 for a meter of kilowatts, -1 for a clamp that sits the other way round.
    pub scale: f64,
    /// How times are written, as strptime has it, or [`super::MILLISECONDS`] or [`super::DAYS`]; by default ISO 8601, as people
    /// write them, or seconds.
    pub time: Option<String>,
    /// Where local times that come without an offset were taken.
    pub zone: Option<TimeZone>,
    /// The day on which times begin that have none.
    pub date: Option<Date>,
    /// Whether readings are taken as they are that no circuit of a household carries.
    pub beyond: bool,
}

impl Default for Layout {
    fn default() -> Self {
        Self { columns: Vec::new(), scale: 1.0, time: None, zone: None, date: None, beyond: false }
    }
}

/// What a column can be called here.
pub const COLUMNS: [&str; 7] = ["date", "time", "watts", "amps", "supply_c", "drain_c", "lasts_s"];

impl Layout {
    /// Whether times are said to be written with the letters of strptime, and not counted.
    pub(super) fn has_letters(&self) -> bool {
        self.time.as_deref().is_some_and(|said| ![MILLISECONDS, DAYS].contains(&said))
    }

    /// What the file calls a column.
    pub(super) fn header<'a>(&'a self, name: &'a str) -> &'a str {
        self.columns.iter().find(|(here, _)| here == name).map_or(name, |(_, there)| there)
    }

    /// Whether a column is named that the file should then have.
    pub(super) fn names(&self, name: &str) -> bool {
        self.columns.iter().any(|(here, _)| here == name)
    }
}
