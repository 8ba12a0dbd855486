//! The columns of a CSV, by its header.

use csv::{ReaderBuilder, StringRecord};

use super::layout::Layout;
use super::number::{Decimal, Seen};
use super::source::{Source, unreadable};

/// Which quantity a column of values holds.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Unit {
    Watts,
    Amps,
}

/// Which column is what.
pub(super) struct Columns {
    /// The day, where it stands apart from the time of day.
    pub(super) date: Option<usize>,
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
                "line 1: no column called \"{}\" among: {}. A CSV needs time, and amps or watts; --column says what else they are called, as in --column time=Stamp",
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
        let [date, supply, drain, lasts] = ["date", "supply_c", "drain_c", "lasts_s"].map(find);
        let date = date.filter(|date| *date != time);
        if let Some(name) =
            super::layout::COLUMNS.iter().find(|name| layout.names(name) && find(name).is_none())
        {
            let there = layout.header(name);
            return Err(format!(
                "line 1: no column called \"{there}\", which --column {name} names, among: {}",
                found()
            ));
        }
        Ok(Self { date, time, value, unit, supply, drain, lasts, count: header.len() })
    }

    /// The columns that have numbers, times that are said to be something else not among them.
    fn numbers(&self, layout: &Layout) -> [Option<usize>; 5] {
        // Times as they were said have signs of their own.
        let time = Some(self.time)
            .filter(|_| layout.time.as_deref().is_none_or(|t| t == super::moment::MILLISECONDS));
        [time, Some(self.value), self.supply, self.drain, self.lasts]
    }
}

/// What stands before the decimals of the columns.
pub(super) struct Decimals {
    pub(super) time: Decimal,
    pub(super) value: Decimal,
    pub(super) clips: [Decimal; 2],
    pub(super) lasts: Decimal,
}

impl Decimals {
    /// By all rows of a file; and how many rows there are.
    ///
    /// # Errors
    /// A sentence, where it cannot be told.
    pub(super) fn find(header: &Header, source: &Source, layout: &Layout) -> Result<(Self, usize), String> {
        let (columns, mut seen, mut count) = (header.columns.numbers(layout), [Seen::default(); 5], 0);
        header.rows(source, |row, line| {
            count += 1;
            if let Some(row) = row.filter(|row| row.len() <= header.columns.count) {
                for (seen, column) in seen.iter_mut().zip(columns) {
                    seen.look(column.and_then(|c| row.get(c)).unwrap_or_default(), line);
                }
            }
            Ok(())
        })?;
        let file = seen.into_iter().fold(Seen::default(), Seen::and);
        let [time, value, supply, drain, lasts] = seen.map(|s| s.decimal(file));
        Ok((Self { time: time?, value: value?, clips: [supply?, drain?], lasts: lasts? }, count))
    }
}

/// Lines before the header at most: what some meters say of themselves.
const PREAMBLE: usize = 40;

/// The header of a CSV: the first line that has the columns.
pub(super) struct Header {
    pub(super) columns: Columns,
    /// How many lines come before it.
    pub(super) before: usize,
    /// Which byte of the file it begins with.
    at: usize,
    delimiter: u8,
}

impl Header {
    /// # Errors
    /// A sentence, where there is none.
    pub(super) fn find(bytes: &[u8], layout: &Layout) -> Result<Self, String> {
        let mut rest = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        let mut why = None;
        for before in 0..PREAMBLE {
            let delimiter = delimiter(rest);
            let mut header = StringRecord::new();
            match reader(delimiter, rest).read_record(&mut header) {
                Ok(true) => match Columns::find(&header, layout) {
                    Ok(columns) => {
                        return Ok(Self { columns, before, at: bytes.len() - rest.len(), delimiter });
                    }
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

    /// Gives each row behind it to `take`, with its line; none, where it is not text.
    ///
    /// # Errors
    /// What `take` says, or that the file cannot be read.
    pub(super) fn rows(
        &self,
        source: &Source,
        mut take: impl FnMut(Option<&StringRecord>, usize) -> Result<(), String>,
    ) -> Result<(), String> {
        let mut reader = reader(self.delimiter, source.from(self.at)?);
        let mut record = StringRecord::new();
        // The header itself comes first.
        for line in self.before + 1.. {
            let row = match reader.read_record(&mut record) {
                Ok(false) => break,
                Ok(true) => Some(&record),
                Err(error) => match error.kind() {
                    csv::ErrorKind::Io(error) => return Err(unreadable(error)),
                    _ => None,
                },
            };
            if line > self.before + 1 {
                take(row, line)?;
            }
        }
        Ok(())
    }
}

fn reader<R: std::io::Read>(delimiter: u8, bytes: R) -> csv::Reader<R> {
    ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .has_headers(false)
        .trim(csv::Trim::All)
        .buffer_capacity(1 << 16)
        .from_reader(bytes)
}

/// What stands between fields: whichever of the usual the first line has most of.
fn delimiter(bytes: &[u8]) -> u8 {
    let line = bytes.split(|&b| b == b'\n' || b == b'\r').next().unwrap_or_default();
    let count = |d: u8| line.iter().filter(|&&b| b == d).count();
    [b',', b';', b'\t'].into_iter().max_by_key(|&d| (count(d), d == b',')).unwrap_or(b',')
}
