//! The columns of a CSV, by its header.

use csv::{ByteRecord, ReaderBuilder, StringRecord};

use super::calendar::Evidence;
use super::headers::{Holds, holds};
use super::layout::Layout;
use super::letters::fields;
use super::notes::Notes;
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
    /// Seconds of one of its times, where they are counted.
    pub(super) second: f64,
    pub(super) value: usize,
    pub(super) unit: Unit,
    /// Watts or amperes of one of its values, by its header.
    pub(super) factor: f64,
    pub(super) supply: Option<usize>,
    pub(super) drain: Option<usize>,
    pub(super) lasts: Option<usize>,
    pub(super) count: usize,
}

impl Columns {
    fn find(header: &StringRecord, layout: &Layout) -> Result<Self, String> {
        let find = |name: &str| header.iter().position(|h| h.eq_ignore_ascii_case(layout.header(name)));
        let found = || header.iter().take(8).collect::<Vec<_>>().join(", ");
        let told: Vec<Option<Holds>> = header.iter().map(holds).collect();
        // A column of another name is taken where its header says what it holds, and it is the only one that does.
        let alike = |name: &str, is: fn(&Holds) -> bool| {
            let mut all = (0..told.len()).filter(|&at| told[at].as_ref().is_some_and(is));
            let first = all.next().filter(|_| !layout.names(name));
            let more = || {
                format!(
                    "line 1: several columns may be {name} among: {}; say which, as in --column {name}=\"{}\"",
                    found(),
                    first.map_or("", |at| &header[at])
                )
            };
            if first.is_some() && all.next().is_some() { Err(more()) } else { Ok(first) }
        };
        let or_alike = |name, is| find(name).map_or_else(|| alike(name, is), |at| Ok(Some(at)));
        let time = or_alike("time", |holds| matches!(holds, Holds::Times(_)))?.or_else(|| find("date"));
        let time = time.ok_or_else(|| {
            format!(
                "line 1: no column called \"{}\" among: {}. A CSV needs time, and amps or watts; --column says what else they are called, as in --column time=Stamp",
                layout.header("time"),
                found()
            )
        })?;
        let watts = || or_alike("watts", |holds| matches!(holds, Holds::Power(_)));
        let amps = || or_alike("amps", |holds| matches!(holds, Holds::Current(_)));
        let (value, unit) = match (find("watts"), find("amps")) {
            (Some(watts), _) => (watts, Unit::Watts),
            (None, Some(amps)) => (amps, Unit::Amps),
            (None, None) => match (watts()?, amps) {
                (Some(watts), _) => (watts, Unit::Watts),
                (None, amps) => match amps()? {
                    Some(amps) => (amps, Unit::Amps),
                    None => {
                        return Err(format!(
                            "line 1: no column called \"{}\" or \"{}\" among: {}; --column says which it is, as in --column watts=Power",
                            layout.header("watts"),
                            layout.header("amps"),
                            found()
                        ));
                    }
                },
            },
        };
        let factor = match (told[value], unit) {
            (Some(Holds::Power(factor)), Unit::Watts) | (Some(Holds::Current(factor)), Unit::Amps) => factor,
            _ => 1.0,
        };
        let second = if let Some(Holds::Times(second)) = told[time] { second } else { 1.0 };
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
        Ok(Self { date, time, second, value, unit, factor, supply, drain, lasts, count: header.len() })
    }

    /// The factor for its readings: what was said, or by its header; both, where only the direction of the clamp was said.
    pub(super) fn scale(&self, layout: &Layout, notes: &mut Notes) -> f64 {
        if self.factor == 1.0 || layout.scale.abs() != 1.0 {
            return layout.scale;
        }
        let name = if self.unit == Unit::Watts { "watts" } else { "amperes" };
        notes.add(
            &format!("readings in units of {} {name}, by the header of their column", self.factor),
            || "the header".into(),
        );
        layout.scale * self.factor
    }

    /// Whether a row has no more fields than the header, but for empty ones at its end.
    pub(super) fn has_all(&self, row: &StringRecord) -> bool {
        row.iter().skip(self.count).all(str::is_empty)
    }

    /// The columns that have numbers, times that are said to be something else not among them.
    fn numbers(&self, layout: &Layout) -> [Option<usize>; 5] {
        // Times as they were said have signs of their own.
        let time = Some(self.time).filter(|_| !layout.has_letters());
        [time, Some(self.value), self.supply, self.drain, self.lasts]
    }
}

/// How numbers and times are written.
pub(super) struct Writing {
    /// What stands before the decimals of each column.
    pub(super) time: Decimal,
    pub(super) value: Decimal,
    pub(super) clips: [Decimal; 2],
    pub(super) lasts: Decimal,
    /// What the times say.
    pub(super) times: Evidence,
    /// How many rows there are.
    pub(super) rows: usize,
}

impl Writing {
    /// By all rows of a file.
    ///
    /// # Errors
    /// A sentence, where it cannot be told.
    pub(super) fn find(header: &Header, source: &Source, layout: &Layout) -> Result<Self, String> {
        let (columns, mut seen) = (header.columns.numbers(layout), [Seen::default(); 5]);
        let (mut times, mut rows) = (Evidence::default(), 0);
        header.rows(source, |row, line| {
            rows += 1;
            if header.columns.has_all(row) {
                for (seen, column) in seen.iter_mut().zip(columns) {
                    seen.look(column.and_then(|c| row.get(c)).unwrap_or_default(), line);
                }
                let time = row.get(header.columns.time).unwrap_or_default();
                times.look(time, header.columns.date.and_then(|c| row.get(c)), line);
            }
            Ok(())
        })?;
        let file = seen.into_iter().fold(Seen::default(), Seen::and);
        let [time, value, supply, drain, lasts] = seen.map(|s| s.decimal(file));
        Ok(Self { time: time?, value: value?, clips: [supply?, drain?], lasts: lasts?, times, rows })
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
            let mut header = ByteRecord::new();
            match reader(delimiter, rest).read_byte_record(&mut header) {
                Ok(true) => match Columns::find(&fields(header), layout) {
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

    /// Gives each row behind it to `take`, with its line.
    ///
    /// # Errors
    /// What `take` says, or that the file cannot be read.
    pub(super) fn rows(
        &self,
        source: &Source,
        mut take: impl FnMut(&StringRecord, usize) -> Result<(), String>,
    ) -> Result<(), String> {
        let mut reader = reader(self.delimiter, source.from(self.at)?);
        let mut row = StringRecord::new();
        // The header itself comes first.
        for line in self.before + 1.. {
            let mut record = row.into_byte_record();
            if !reader.read_byte_record(&mut record).map_err(|error| unreadable(&error.into()))? {
                break;
            }
            row = fields(record);
            if line > self.before + 1 {
                take(&row, line)?;
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
        .buffer_capacity(1 << 16)
        .from_reader(bytes)
}

/// What stands between fields: whichever of the usual the first line has most of.
fn delimiter(bytes: &[u8]) -> u8 {
    let line = bytes.split(|&b| b == b'\n' || b == b'\r').next().unwrap_or_default();
    let count = |d: u8| line.iter().filter(|&&b| b == d).count();
    [b',', b';', b'\t', b'|'].into_iter().max_by_key(|&d| (count(d), d == b',')).unwrap_or(b',')
}
