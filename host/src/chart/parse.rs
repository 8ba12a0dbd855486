//! Reads `*.chart.toml`. Every complaint names line and column.

use std::path::Path;

use serde::Deserialize;
use toml::Spanned;
use tubtrace_units::{Amps, Celsius, Seconds};

use super::{Chart, Expected, Habits, Limits, Part};
use crate::intervals::Kind;

/// Why a chart cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum ChartError {
    /// The file could not be read.
    #[error("cannot read the chart {name}: {error}")]
    Io {
        /// The file.
        name: String,
        /// Why.
        error: std::io::Error,
    },
    /// It does not say what a chart must say.
    #[error("{name}:{line}:{column}: {what}")]
    Wrong {
        /// The file.
        name: String,
        /// From 1.
        line: usize,
        /// From 1, in characters.
        column: usize,
        /// What is wrong and what to do.
        what: String,
    },
}

/// A part may come this often at most; more is a typing error.
const MOST_TIMES: u32 = 8;

/// Bytes of a chart at most.
const LARGEST: u64 = 1 << 20;

/// Reads the chart at `path`.
///
/// # Errors
/// See [`ChartError`].
pub fn read(path: &Path) -> Result<Chart, ChartError> {
    let name = path.display().to_string();
    let io = |error| ChartError::Io { name: name.clone(), error };
    if std::fs::metadata(path).map_err(io)?.len() > LARGEST {
        return Err(io(std::io::Error::new(
            std::io::ErrorKind::FileTooLarge,
            "larger than 1 MiB, which is no chart",
        )));
    }
    parse(&std::fs::read_to_string(path).map_err(io)?, &name)
}

/// Reads a chart from `text`; `name` is for messages.
///
/// # Errors
/// [`ChartError::Wrong`].
pub fn parse(text: &str, name: &str) -> Result<Chart, ChartError> {
    let wrong = |Complaint { at, what }: Complaint| {
        let (line, column) = place(text, at);
        ChartError::Wrong { name: name.to_owned(), line, column, what }
    };
    let file: File = toml::from_str(text).map_err(|error| {
        let at = error.span().map_or(0, |s| s.start);
        wrong(Complaint { at, what: error.message().to_owned() })
    })?;
    file.check().map_err(wrong)
}

/// Line and column of a byte of a text, both from 1.
pub(crate) fn place(text: &str, at: usize) -> (usize, usize) {
    let before = &text[..at.min(text.len())];
    let column = before.chars().rev().take_while(|&c| c != '\n').count() + 1;
    (before.matches('\n').count() + 1, column)
}

struct Complaint {
    at: usize,
    what: String,
}

fn complain<T>(at: &Spanned<T>, what: impl Into<String>) -> Complaint {
    Complaint { at: at.span().start, what: what.into() }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    chart: Spanned<u32>,
    name: String,
    #[serde(default)]
    part: Vec<Spanned<PartTable>>,
    #[serde(default)]
    habits: Habits,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PartTable {
    name: String,
    may: Option<bool>,
    times: Option<Spanned<[u32; 2]>>,
    #[serde(default)]
    interval: Vec<Spanned<IntervalTable>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct IntervalTable {
    name: Option<String>,
    does: Spanned<Kind>,
    #[serde(default)]
    may: bool,
    lasts: Option<Spanned<[f64; 2]>>,
    amps: Option<Spanned<[f64; 2]>>,
    supply_c: Option<Spanned<[f64; 2]>>,
    until_c: Option<Spanned<f64>>,
    purges: Option<Spanned<[u32; 2]>>,
}

impl File {
    fn check(self) -> Result<Chart, Complaint> {
        if *self.chart.get_ref() != 1 {
            return Err(complain(&self.chart, "this version reads charts of format 1"));
        }
        if self.part.is_empty() {
            return Err(complain(&self.chart, "a chart needs at least one [[part]]"));
        }
        let parts: Vec<Part> = self.part.into_iter().map(PartTable::check).collect::<Result<_, _>>()?;
        let must = |p: &Part| p.times.low > 0 && p.intervals.iter().any(|i| !i.may);
        if !parts.iter().any(must) {
            return Err(complain(
                &self.chart,
                "everything in this chart may be left out, so nothing departs from it",
            ));
        }
        Ok(Chart { name: self.name, parts, habits: self.habits })
    }
}

impl PartTable {
    fn check(table: Spanned<Self>) -> Result<Part, Complaint> {
        if table.get_ref().interval.is_empty() {
            return Err(complain(&table, "a part needs at least one [[part.interval]]"));
        }
        let part = table.into_inner();
        let times = match (part.times, part.may) {
            (Some(times), None) => {
                let times_at = complain(
                    &times,
                    format!("times are from 0 to {MOST_TIMES}, the smaller first, not both 0"),
                );
                let [low, high] = times.into_inner();
                if low > high || high > MOST_TIMES || high == 0 {
                    return Err(times_at);
                }
                Limits { low, high }
            }
            (Some(times), Some(_)) => {
                return Err(complain(&times, "a part has either may or times, not both"));
            }
            (None, may) => Limits { low: u32::from(may != Some(true)), high: 1 },
        };
        let intervals =
            part.interval.into_iter().map(|i| i.into_inner().check(&part.name)).collect::<Result<_, _>>()?;
        Ok(Part { name: part.name, times, intervals })
    }
}

impl IntervalTable {
    fn check(self, part: &str) -> Result<Expected, Complaint> {
        let kind = *self.does.get_ref();
        if matches!(kind, Kind::Stall | Kind::Gap) {
            return Err(complain(
                &self.does,
                format!("no machine should \"{kind}\": it is found, not expected"),
            ));
        }
        if kind == Kind::Purge {
            return Err(complain(
                &self.does,
                "a purge comes within a wash: say purges = [least, most] there",
            ));
        }
        let washes = matches!(kind, Kind::Wash | Kind::Heat);
        if let Some(purges) = self.purges.as_ref().filter(|_| !washes) {
            return Err(complain(purges, "purges come within does = \"wash\" or \"heat\""));
        }
        if let Some(until) = self.until_c.as_ref().filter(|_| kind != Kind::Heat) {
            return Err(complain(until, "only does = \"heat\" ends at a temperature"));
        }
        if let Some(supply) = self.supply_c.as_ref().filter(|_| kind != Kind::Fill) {
            return Err(complain(supply, "supply water is measured while it flows: does = \"fill\""));
        }
        if let Some(until) = self.until_c.as_ref().filter(|u| !(1.0..=99.0).contains(u.get_ref())) {
            return Err(complain(until, "water is held between 1 and 99 degrees C"));
        }
        let purges = match self.purges {
            Some(purges) if purges.get_ref()[0] > purges.get_ref()[1] => {
                return Err(complain(&purges, "the smaller number comes first"));
            }
            Some(purges) => Limits { low: purges.get_ref()[0], high: purges.get_ref()[1] },
            None => Limits { low: 0, high: 0 },
        };
        Ok(Expected {
            name: self.name.unwrap_or_else(|| format!("{part} {kind}")),
            kind,
            may: self.may,
            lasts: limits(self.lasts, 86_400.0, "seconds")?.map(|l| l.map(Seconds)),
            amps: limits(self.amps, 100.0, "amperes")?.map(|l| l.map(Amps)),
            supply: limits(self.supply_c, 99.0, "degrees C")?.map(|l| l.map(Celsius)),
            until: self.until_c.map(|u| Celsius(u.into_inner())),
            purges,
        })
    }
}

fn limits(pair: Option<Spanned<[f64; 2]>>, most: f64, unit: &str) -> Result<Option<Limits<f64>>, Complaint> {
    let Some(pair) = pair else { return Ok(None) };
    let [low, high] = *pair.get_ref();
    if !(low >= 0.0 && high <= most) {
        return Err(complain(&pair, format!("these are {unit}, from 0 to {most}")));
    }
    if low > high {
        return Err(complain(&pair, format!("the smaller number comes first: [{high}, {low}]")));
    }
    Ok(Some(Limits { low, high }))
}

impl Limits<f64> {
    fn map<T>(self, unit: fn(f64) -> T) -> Limits<T> {
        Limits { low: unit(self.low), high: unit(self.high) }
    }
}
