//! CSV files of any meter: `time`, and `amps` or `watts`; `supply_c` and `drain_c` if it has them, and `lasts_s` where readings
//! say for how long they hold, as those that `export` writes do.

use csv::{ReaderBuilder, StringRecord};
use jiff::civil::DateTime;
use jiff::fmt::strtime::BrokenDownTime;
use jiff::fmt::temporal::{Pieces, PiecesOffset};
use jiff::tz::Offset;
use tubtrace_units::{Celsius, Seconds, Volts, Watts};

use super::order::in_order;
use super::{Assumptions, Layout, Log, Notes};
use crate::trace::{Clock, Meter, Nominal, Step, Temperature, Trace, Zone};

/// A reading holds until the next one, unless that comes later than ten seconds and three times the interval that nine in
/// ten keep: then something is missing.
const GAP: f64 = 3.0;
const GAP_AT_LEAST: f64 = 10.0;

/// Less than this between readings that say how long they hold is no gap: they are written to a millisecond.
const ROUNDING: f64 = 0.02;

pub(super) fn parse(bytes: &[u8], assumptions: Assumptions, layout: &Layout) -> Result<Log, String> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut notes = Notes::default();
    let table = Table::read(bytes, layout, &mut notes)?;
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
        let lasts = match row.lasts {
            Some(lasts) => lasts.min(after),
            None if after > hold.limit => hold.typical,
            None => after,
        };
        if after - lasts > ROUNDING && next.is_some() {
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
    lasts: Option<usize>,
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
    /// How long it holds, where the file says.
    lasts: Option<f64>,
}

/// The rows that could be used; at least one.
struct Table {
    columns: Columns,
    rows: Vec<Row>,
    clock: Option<Clock>,
}

impl Table {
    fn read(bytes: &[u8], layout: &Layout, notes: &mut Notes) -> Result<Self, String> {
        let (columns, before, mut reader) = header(bytes, layout)?;
        let mut rows = Vec::new();
        for (i, record) in reader.records().enumerate() {
            let line = before + i + 2;
            let row = match &record {
                Err(_) => Err("line that is not UTF-8, passed over"),
                Ok(record) => Row::parse(record, &columns, layout, line),
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
    fn parse(
        record: &StringRecord,
        columns: &Columns,
        layout: &Layout,
        line: usize,
    ) -> Result<Self, &'static str> {
        if record.len() > columns.count {
            return Err(
                "row with more fields than the header, passed over (commas as decimals? quote them, or use ; between fields)",
            );
        }
        let field = |i: usize| record.get(i).filter(|f| !f.is_empty());
        let (time, clock) = field(columns.time)
            .and_then(|text| time(text, layout.time.as_deref()))
            .ok_or("row whose time is neither ISO 8601 nor seconds nor as was said, passed over")?;
        let value = field(columns.value)
            .and_then(number)
            .map(|v| v * layout.scale)
            .filter(|v| (0.0..1e5).contains(v))
            .ok_or("row without a usable number of watts or amps, passed over")?;
        let celsius = |i: Option<usize>| i.and_then(field).and_then(number).map(Celsius);
        let (supply, drain) = (celsius(columns.supply), celsius(columns.drain));
        let lasts = columns.lasts.and_then(field).and_then(number).filter(|s| *s > 0.0);
        Ok(Self { line, time, clock, value, supply, drain, lasts })
    }
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
        Ok(Self { time, value, unit, supply, drain, lasts, count: header.len() })
    }
}

/// Lines before the header at most: what some meters say of themselves.
const PREAMBLE: usize = 40;

/// The header, which is the first line that has the columns, how many lines come before it, and the rows behind it.
fn header<'a>(bytes: &'a [u8], layout: &Layout) -> Result<(Columns, usize, csv::Reader<&'a [u8]>), String> {
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

/// A number with a point or a comma.
fn number(text: &str) -> Option<f64> {
    text.replace(',', ".").parse().ok().filter(|v: &f64| v.is_finite())
}

/// Seconds since some origin, and the clock if the origin is 1970.
fn time(text: &str, format: Option<&str>) -> Option<(f64, Option<Clock>)> {
    if let Some(format) = format {
        let told = BrokenDownTime::parse(format, text).ok()?;
        let zone = told.offset().map_or(Zone::Unsaid, Zone::At);
        return clock(told.to_datetime().ok()?, zone);
    }
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
    clock(local, zone)
}

fn clock(local: DateTime, zone: Zone) -> Option<(f64, Option<Clock>)> {
    let start = zone.offset().to_timestamp(local).ok()?;
    Some((start.as_millisecond() as f64 / 1_000.0, Some(Clock { start, zone })))
}
