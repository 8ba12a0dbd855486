//! The columns of a CSV, by its header.

use csv::{ReaderBuilder, StringRecord};

use super::Layout;
use super::number::{Decimal, Seen};

/// What is measured.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Unit {
    Watts,
    Amps,
}

/// Which column is what.
pub(super) struct Columns {
    pub(super) time: usize,
    pub(super) value: usize,
    pub(super) unit: Unit,
    pub(super) supply: Option<usize>,
    pub(super) drain: Option<usize>,
    pub(super) lasts: Option<usize>,
    pub(super) count: usize,
}

impl Columns {
    fn find(header: &StringRecord, layout: &Layout) -> Result<Self, String> {
        let find = |name: &str| header.iter().position(|h| h.eq_ignore_ascii_case(layout.header(name)));
        let found = || header.iter().take(8).collect::<Vec<_>>().join(", ");
        let time = find("time").ok_or_else(|| {
            format!(
                "line 1: no column called \"{}\" among: {}. A CSV needs time, and amps or watts; `tubtrace import --column` says what else they are called",
                layout.header("time"),
                found()
            )
        })?;
        let (value, unit) = match (find("watts"), find("amps")) {
            (Some(watts), _) => (watts, Unit::Watts),
            (None, Some(amps)) => (amps, Unit::Amps),
            (None, None) => {
                return Err(format!(
                    "line 1: no column called \"{}\" or \"{}\" among: {}",
                    layout.header("watts"),
                    layout.header("amps"),
                    found()
                ));
            }
        };
        let [supply, drain, lasts] = ["supply_c", "drain_c", "lasts_s"].map(find);
        if let Some(name) = super::COLUMNS.iter().find(|name| layout.names(name) && find(name).is_none()) {
            let there = layout.header(name);
            return Err(format!(
                "line 1: no column called \"{there}\", which --column {name} names, among: {}",
                found()
            ));
        }
        Ok(Self { time, value, unit, supply, drain, lasts, count: header.len() })
    }

    /// What stands before the decimals of each column that has numbers; rows come from `reader`, the first of them on line `first`.
    ///
    /// # Errors
    /// A sentence, where it cannot be told.
    pub(super) fn decimals(
        &self,
        mut reader: csv::Reader<&[u8]>,
        layout: &Layout,
        first: usize,
    ) -> Result<Decimals, String> {
        // Times as they were said have signs of their own.
        let time =
            Some(self.time).filter(|_| layout.time.as_deref().is_none_or(|t| t == super::MILLISECONDS));
        let columns = [time, Some(self.value), self.supply, self.drain, self.lasts];
        let mut seen = [Seen::default(); 5];
        let mut record = StringRecord::new();
        for line in first.. {
            match reader.read_record(&mut record) {
                Ok(false) => break,
                Ok(true) if record.len() <= self.count => {
                    for (seen, column) in seen.iter_mut().zip(columns) {
                        seen.look(column.and_then(|c| record.get(c)).unwrap_or_default(), line);
                    }
                }
                _ => {}
            }
        }
        let file = seen.into_iter().fold(Seen::default(), Seen::and);
        let [time, value, supply, drain, lasts] = seen.map(|s| s.decimal(file));
        Ok(Decimals { time: time?, value: value?, clips: [supply?, drain?], lasts: lasts? })
    }
}

/// What stands before the decimals of the columns.
pub(super) struct Decimals {
    pub(super) time: Decimal,
    pub(super) value: Decimal,
    pub(super) clips: [Decimal; 2],
    pub(super) lasts: Decimal,
}

/// Lines before the header at most: what some meters say of themselves.
const PREAMBLE: usize = 40;

/// The header, which is the first line that has the columns, how many lines come before it, and the rows behind it.
pub(super) fn header<'a>(
    bytes: &'a [u8],
    layout: &Layout,
) -> Result<(Columns, usize, csv::Reader<&'a [u8]>), String> {
    let (mut rest, mut why) = (bytes, None);
    for before in 0..PREAMBLE {
        let mut reader = ReaderBuilder::new()
            .delimiter(delimiter(rest))
            .flexible(true)
            .has_headers(false)
            .trim(csv::Trim::All)
            .from_reader(rest);
        let mut header = StringRecord::new();
        match reader.read_record(&mut header) {
            Ok(true) => match Columns::find(&header, layout) {
                Ok(columns) => return Ok((columns, before, reader)),
                Err(what) => why = why.or(Some(what)),
            },
            _ if before == 0 => break,
            _ => {}
        }
        let Some(end) = rest.iter().position(|&b| b == b'\n') else { break };
        rest = &rest[end + 1..];
    }
    Err(why.unwrap_or_else(|| "no line of text in it: neither a log nor a CSV file".into()))
}

/// What stands between fields: whichever of the usual the first line has most of.
fn delimiter(bytes: &[u8]) -> u8 {
    let line = bytes.split(|&b| b == b'\n' || b == b'\r').next().unwrap_or_default();
    let count = |d: u8| line.iter().filter(|&&b| b == d).count();
    [b',', b';', b'\t'].into_iter().max_by_key(|&d| (count(d), d == b',')).unwrap_or(b',')
}
