//! How a meter's CSV is written, where its header does not say: the same options for every command that reads one.

use clap::Args;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use super::outcome::Failure;
use crate::log::{COLUMNS, DAYS, Layout, MILLISECONDS};

/// How a meter's CSV is written; a .tub log says all of this itself.
#[derive(Args, Clone)]
#[command(next_help_heading = "A meter's CSV")]
pub(super) struct OfMeter {
    /// What it calls a column: date (where the day stands apart from the time), time, watts, amps, supply_c, drain_c or lasts_s.
    #[arg(long, value_name = "NAME=HEADER", value_parser = column)]
    pub(super) column: Vec<(String, String)>,
    /// How it writes its times, in the letters of strftime, "milliseconds", or "days" of a spreadsheet; by default ISO 8601, 15.05.2012 21:30, 5/15/2012 9:30 pm
    /// (the whole file tells which is the day), a time of day, or seconds.
    #[arg(long, value_name = "FORMAT", value_parser = time)]
    pub(super) time: Option<String>,
    /// The day on which it begins, as in 2026-03-06, where its times have none.
    #[arg(long, value_name = "DAY", value_parser = day)]
    pub(super) date: Option<Date>,
    /// Where its local times were taken, by the name of the place in the IANA time zone database: America/Chicago.
    #[arg(long, value_name = "ZONE", value_parser = zone)]
    pub(super) zone: Option<TimeZone>,
    /// A factor for its watts or amps: 1000 for kilowatts that its header does not tell, -1 for a clamp that sits the other way round. Of a WAV (import), one for each
    /// channel, between commas: with 1, its full scale is that of the logger's converter, 33 A at the peak for current.
    #[arg(long, value_name = "FACTOR", value_delimiter = ',', allow_negative_numbers = true, value_parser = factor)]
    pub(super) scale: Vec<f64>,
}

impl OfMeter {
    /// How to read a CSV by this; `beyond` is whether readings are taken that no circuit of a household carries.
    ///
    /// # Errors
    /// Where there are several factors, which only a WAV has.
    pub(super) fn layout(&self, beyond: bool) -> Result<Layout, Failure> {
        let scale = match self.scale[..] {
            [] => 1.0,
            [scale] => scale,
            _ => return Err(Failure::Other("--scale: a CSV has one factor, for watts or amps".into())),
        };
        let Self { column, time, date, zone, .. } = self.clone();
        Ok(Layout { columns: column, scale, time, zone, date, beyond })
    }

    /// The options, and whether each was given.
    pub(super) fn given(&self) -> [(&'static str, bool); 5] {
        [
            ("--column", !self.column.is_empty()),
            ("--time", self.time.is_some()),
            ("--date", self.date.is_some()),
            ("--zone", self.zone.is_some()),
            ("--scale", !self.scale.is_empty()),
        ]
    }
}

fn factor(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|f: &f64| (1e-6..=1e6).contains(&f.abs()))
        .ok_or_else(|| "from 0.000001 to 1000000, or as much below zero".to_owned())
}

fn time(text: &str) -> Result<String, String> {
    let told = [MILLISECONDS, DAYS].contains(&text) || text.contains('%');
    told.then(|| text.to_owned())
        .ok_or_else(|| format!("letters of strftime, as in %d/%m/%Y %H:%M:%S, {MILLISECONDS}, or {DAYS}"))
}

fn day(text: &str) -> Result<Date, String> {
    text.parse().map_err(|_| "a day by ISO 8601, as in 2026-03-06".to_owned())
}

fn zone(text: &str) -> Result<TimeZone, String> {
    TimeZone::get(text)
        .map_err(|_| "a name of the IANA time zone database, as in America/Chicago or UTC".to_owned())
}

fn column(text: &str) -> Result<(String, String), String> {
    let (name, header) = text.split_once('=').ok_or("NAME=HEADER, as in watts=Power")?;
    if COLUMNS.contains(&name) {
        Ok((name.to_owned(), header.to_owned()))
    } else {
        Err(format!("the name is one of {}", COLUMNS.join(", ")))
    }
}
