//! CSV files of any meter: `time`, and `amps` or `watts`; `supply_c` and `drain_c` if it has them.

use csv::{ReaderBuilder, StringRecord};
use jiff::fmt::temporal::{Pieces, PiecesOffset};
use jiff::tz::Offset;
use tubtrace_units::{Celsius, Seconds, Volts, Watts};

use super::order::in_order;
use super::{Assumptions, Log, Notes};
use crate::trace::{Clock, Meter, Nominal, Step, Temperature, Trace, Zone};

/// A reading holds until the next one, unless that comes later than ten seconds and three times the interval that nine in
/// ten keep: then something is missing.
const GAP: f64 = 3.0;
const GAP_AT_LEAST: f64 = 10.0;

pub(super) fn parse(bytes: &[u8], assumptions: Assumptions) -> Result<Log, String> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut notes = Notes::default();
    let table = Table::read(bytes, &mut notes)?;
    // Where the file has watts, volts only serve to show amperes, and 230 is as good a guess as any.
    let nominal =
        Nominal { volts: assumptions.volts.unwrap_or(Volts(230.0)), assumed: assumptions.volts.is_none() };
    if table.columns.unit == Unit::Amps && nominal.assumed {
        notes.add("volts not given, taken as 230 V (say --volts)", || "the header".into());
    }
    let start = table.rows[0].time;
    let hold = holds(&table.rows);
    let mut steps: Vec<Step> = Vec::with_capacity(table.rows.len());
    let mut temperatures = Vec::new();
    for (row, next) in table.rows.iter().zip(table.rows[1..].iter().map(Some).chain([None])) {
        let after = next.map_or(f64::INFINITY, |n| n.time - row.time);
        let lasts = if after > hold.limit { hold.typical } else { after };
        if after > hold.limit && next.is_some() {
            notes.add("gap without readings", || crate::report::duration(Seconds(row.time - start)));
        }
        let (from, to) = (Seconds(row.time - start), Seconds(row.time - start + lasts));
        let power = match table.columns.unit {
            Unit::Watts => Watts(row.value),
            Unit::Amps => Watts(row.value * nominal.volts.0),
        };
        steps.push(Step { start: from, end: to, power, detail: None });
        if row.supply.is_some() || row.drain.is_some() {
            temperatures.push(Temperature { start: from, end: to, supply: row.supply, drain: row.drain });
        }
    }
    let trace = Trace {
        steps,
        temperatures,
        fills: Vec::new(),
        marks: Vec::new(),
        health: Vec::new(),
        bursts: Vec::new(),
        clock: table.clock,
        meter: if table.columns.unit == Unit::Amps { Meter::Current } else { Meter::Power },
        nominal,
        label: String::new(),
        resolution: Seconds(hold.typical),
        clipped: Vec::new(),
        battery_ended: false,
    };
    Ok(Log { trace, notes })
}

struct Hold {
    typical: f64,
    limit: f64,
}

fn holds(rows: &[Row]) -> Hold {
    let mut intervals: Vec<f64> = rows.windows(2).map(|p| p[1].time - p[0].time).collect();
    if intervals.is_empty() {
        return Hold { typical: 1.0, limit: 1.0 };
    }
    intervals.sort_by(f64::total_cmp);
    let of = |part: f64| intervals[((intervals.len() - 1) as f64 * part) as usize];
    Hold { typical: of(0.5), limit: (GAP * of(0.9)).max(GAP_AT_LEAST) }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Unit {
    Watts,
    Amps,
}

struct Columns {
    time: usize,
    value: usize,
    unit: Unit,
    supply: Option<usize>,
    drain: Option<usize>,
    count: usize,
}

pub(super) struct Row {
    pub line: usize,
    clock: Option<Clock>,
    /// Seconds since whatever the first row's time counts from.
    pub time: f64,
    value: f64,
    supply: Option<Celsius>,
    drain: Option<Celsius>,
}

/// The rows that could be used; at least one.
struct Table {
    columns: Columns,
    rows: Vec<Row>,
    clock: Option<Clock>,
}

impl Table {
    fn read(bytes: &[u8], notes: &mut Notes) -> Result<Self, String> {
        let delimiter = delimiter(bytes);
        let mut reader = ReaderBuilder::new()
            .delimiter(delimiter)
            .flexible(true)
            .has_headers(false)
            .trim(csv::Trim::All)
            .from_reader(bytes);
        let mut records = reader.records();
        let header = records
            .next()
            .and_then(Result::ok)
            .ok_or("no line of text in it: neither a log nor a CSV file")?;
        let columns = Columns::find(&header)?;
        let mut rows = Vec::new();
        for (i, record) in records.enumerate() {
            let line = i + 2;
            let row = match &record {
                Err(_) => Err("line that is not UTF-8, passed over"),
                Ok(record) => Row::parse(record, &columns, line),
            };
            match row {
                Ok(row) => rows.push(row),
                Err(what) => notes.add(what, || format!("line {line}")),
            }
        }
        let rows = in_order(rows, notes);
        let Some(first) = rows.first() else {
            let why = notes.all().first().map_or_else(String::new, |n| format!(" ({n})"));
            return Err(format!("a CSV header, but no row that can be used{why}"));
        };
        let clock = first.clock;
        Ok(Self { columns, rows, clock })
    }
}

impl Row {
    fn parse(record: &StringRecord, columns: &Columns, line: usize) -> Result<Self, &'static str> {
        if record.len() > columns.count {
            return Err(
                "row with more fields than the header, passed over (commas as decimals? quote them, or use ; between fields)",
            );
        }
        let field = |i: usize| record.get(i).filter(|f| !f.is_empty());
        let (time, clock) = field(columns.time)
            .and_then(time)
            .ok_or("row whose time is neither ISO 8601 nor seconds, passed over")?;
        let value = field(columns.value)
            .and_then(number)
            .filter(|v| (0.0..1e5).contains(v))
            .ok_or("row without a usable number of watts or amps, passed over")?;
        let celsius = |i: Option<usize>| i.and_then(field).and_then(number).map(Celsius);
        let (supply, drain) = (celsius(columns.supply), celsius(columns.drain));
        Ok(Self { line, time, clock, value, supply, drain })
    }
}

impl Columns {
    fn find(header: &StringRecord) -> Result<Self, String> {
        let find = |name: &str| header.iter().position(|h| h.eq_ignore_ascii_case(name));
        let found = || header.iter().take(8).collect::<Vec<_>>().join(", ");
        let time = find("time").ok_or_else(|| {
            format!(
                "line 1: no column called \"time\" among: {}. A CSV needs time, and amps or watts",
                found()
            )
        })?;
        let (value, unit) = match (find("watts"), find("amps")) {
            (Some(watts), _) => (watts, Unit::Watts),
            (None, Some(amps)) => (amps, Unit::Amps),
            (None, None) => {
                return Err(format!("line 1: no column called \"watts\" or \"amps\" among: {}", found()));
            }
        };
        Ok(Self { time, value, unit, supply: find("supply_c"), drain: find("drain_c"), count: header.len() })
    }
}

/// What stands between fields: whichever of the usual the first line has most of.
fn delimiter(bytes: &[u8]) -> u8 {
    let line = bytes.split(|&b| b == b'\n' || b == b'\r').next().unwrap_or_default();
    let count = |d: u8| line.iter().filter(|&&b| b == d).count();
    [b',', b';', b'\t'].into_iter().max_by_key(|&d| (count(d), d == b',')).unwrap_or(b',')
}

/// A number with a point or a comma.
fn number(text: &str) -> Option<f64> {
    text.replace(',', ".").parse().ok().filter(|v: &f64| v.is_finite())
}

/// Seconds since some origin, and the clock if the origin is 1970.
fn time(text: &str) -> Option<(f64, Option<Clock>)> {
    if let Some(seconds) = number(text) {
        return Some((seconds, None));
    }
    // A space for the T, as spreadsheets write it, is understood too.
    let pieces = Pieces::parse(text).ok()?;
    let local = pieces.date().to_datetime(pieces.time()?);
    let zone = match pieces.offset() {
        None => Zone::Unsaid,
        Some(PiecesOffset::Zulu) => Zone::Utc,
        Some(_) => Zone::At(pieces.to_numeric_offset().unwrap_or(Offset::UTC)),
    };
    let start = zone.offset().to_timestamp(local).ok()?;
    Some((start.as_millisecond() as f64 / 1_000.0, Some(Clock { start, zone })))
}
