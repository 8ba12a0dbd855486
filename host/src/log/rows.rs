//! The rows of a CSV, compact and in order, and what could not be used of them.

use csv::StringRecord;
use jiff::{SignedDuration, Timestamp};

use super::columns::{Columns, Header, Unit, Writing};
use super::constants::{GAP, GAP_AT_LEAST};
use super::layout::Layout;
use super::moment::{Times, summer_time};
use super::notes::Notes;
use super::number::{number, without_unit};
use super::order::{in_order, newest_last};
use super::plausible::{self, BelowZero, Beyond, LONGEST_READING, is_beyond};
use super::row::{Refused, Row, Rows};
use super::shared::spread;
use super::source::Source;
use crate::text::harmless;
use crate::trace::{Clock, Zone};

/// Readings of a file at most: three months of seconds. All of them are held in memory.
const MOST_ROWS: usize = 8_000_000;

/// What a row is called in which nothing was measured. With it nothing is lost.
const NO_READING: &str = "row that says it has no reading, skipped";

/// What meters write where they have no reading. Common practice, no source.
const SAY_NOTHING: [&str; 8] = ["", "nan", "null", "none", "n/a", "-", "unavailable", "unknown"];

/// How long readings hold that do not say it: intervals in seconds.
#[derive(Clone, Copy)]
pub(super) struct Hold {
    /// One in ten is shorter.
    pub(super) quick: f64,
    /// Half of them are shorter.
    pub(super) typical: f64,
    /// What is longer is a gap.
    pub(super) limit: f64,
}

/// The rows that could be used; at least one.
pub(super) struct Table {
    pub(super) unit: Unit,
    pub(super) rows: Rows,
    pub(super) clock: Option<Clock>,
    pub(super) hold: Hold,
    /// Where rows stood that could not be used, from and to, in the seconds of the rows.
    pub(super) lost: Vec<(f64, f64)>,
}

impl Table {
    /// # Errors
    /// A sentence, where nothing can be used, or where it cannot be told what the numbers mean.
    pub(super) fn read(source: &Source, layout: &Layout, notes: &mut Notes) -> Result<Self, String> {
        let header = Header::find(source.head, layout)?;
        let writing = Writing::find(&header, source, layout)?;
        let columns = &header.columns;
        let times = Times::new(layout, columns, &writing);
        let scale = columns.scale(layout, notes);
        let mut rows = Rows::with_room(writing.rows.min(MOST_ROWS + 1));
        let mut parser = Parser { times, columns, writing, layout, scale, zone: None };
        let (mut beyond, mut below_zero) = (Beyond::default(), BelowZero::default());
        let mut passed = Passed::default();
        header.rows(source, |record, line| {
            let row = parser.row(record, line).and_then(|row| below_zero.taken(row, columns.unit, notes));
            if let Ok(row) = &row
                && !layout.beyond
            {
                beyond.take(row.value, columns.unit, line)?;
            }
            match row {
                Ok(row) if layout.beyond || !is_beyond(row.value, columns.unit) => rows.push(&row),
                other => {
                    let refused = other.map_or_else(
                        |refused| refused,
                        |row| Refused {
                            what: "reading beyond what a household's circuit carries, skipped",
                            value: row.value.to_string(),
                        },
                    );
                    notes.add(refused.what, || refused.place(line));
                    if refused.what != NO_READING {
                        passed.add(rows.times.last().copied());
                    }
                }
            }
            if rows.len() > MOST_ROWS {
                return Err(format!(
                    "line {line}: more than {MOST_ROWS} readings, which are three months of seconds; split it by months"
                ));
            }
            Ok(())
        })?;
        below_zero.asks(columns.unit)?;
        if rows.len() == 0 {
            let why = notes.all().first().map_or_else(String::new, |n| format!(" ({n})"));
            return Err(format!("a CSV header, but no row that can be used{why}"));
        }
        parser.table(rows, &passed, notes)
    }
}

/// What one row after the other is read by.
struct Parser<'a> {
    columns: &'a Columns,
    writing: Writing,
    layout: &'a Layout,
    times: Times<'a>,
    /// A factor for its readings.
    scale: f64,
    /// Of the first row.
    zone: Option<Zone>,
}

impl Parser<'_> {
    fn row(&mut self, record: &StringRecord, line: usize) -> Result<Row, Refused> {
        let Self { columns, writing, scale, .. } = self;
        let refused = |what, value: &str| Refused { what, value: value.to_owned() };
        if !columns.has_all(record) {
            return Err(refused(
                "row with more fields than the header, skipped (commas as decimals? quote them, or use ; between fields)",
                "",
            ));
        }
        let field = |i: usize| record.get(i).filter(|f| !f.is_empty());
        let told = record.get(columns.time).unwrap_or_default();
        let day = columns.date.and_then(field);
        let moment = field(columns.time).and_then(|text| self.times.read(text, day)).ok_or_else(|| {
            let both = day.map_or_else(|| told.to_owned(), |day| format!("{day} {told}"));
            refused(
                "time that is not understood, row skipped (as in 2026-03-06 20:00:00, or seconds; --time says how else it is written)",
                &both,
            )
        })?;
        if moment.is_beyond() {
            return Err(refused(
                "row whose time is beyond the year 9999, skipped (milliseconds? say --time milliseconds)",
                told,
            ));
        }
        let there = record.get(columns.value).unwrap_or_default();
        if SAY_NOTHING.iter().any(|word| there.eq_ignore_ascii_case(word)) {
            return Err(refused(NO_READING, there));
        }
        let value = field(columns.value)
            .and_then(|text| {
                let (text, unit) = without_unit(text);
                Some(number(text, writing.value)? * unit * *scale)
            })
            .ok_or_else(|| refused("row without a usable number of watts or amps, skipped", there))?;
        let clip = |i: Option<usize>, n: usize| {
            i.and_then(field).and_then(|text| number(text, writing.clips[n])).map_or(f32::NAN, |c| c as f32)
        };
        let lasts = columns.lasts.and_then(field).and_then(|text| number(text, writing.lasts));
        if let Some(lasts) = lasts.filter(|s| *s > LONGEST_READING) {
            let what = "row that says it holds for longer than a day, skipped";
            return Err(refused(what, &lasts.to_string()));
        }
        self.zone = self.zone.or(moment.zone);
        Ok(Row {
            time: moment.seconds,
            value,
            lasts: lasts.filter(|s| *s > 0.0).unwrap_or(f64::NAN),
            line: u32::try_from(line).unwrap_or(u32::MAX),
            clips: [clip(columns.supply, 0), clip(columns.drain, 1)],
        })
    }

    fn table(self, mut rows: Rows, passed: &Passed, notes: &mut Notes) -> Result<Table, String> {
        let early = self.times.too_early();
        rows.times.iter_mut().for_each(|time| *time += early);
        let reversed = newest_last(&mut rows, notes);
        spread(&mut rows, notes)?;
        let hold = holds(&rows.times);
        if self.zone.is_none() && !self.times.are_of_no_day() && self.layout.time.is_none() {
            plausible::counted(&rows, hold.typical)?;
        }
        if self.zone == Some(Zone::Unsaid)
            && let Some(asks) = summer_time(&rows, hold.limit)
        {
            return Err(asks);
        }
        if self.layout.zone.is_some() && !self.times.are_local() {
            return Err(
                "--zone does not apply: its times are seconds, have no day, or say their offset themselves"
                    .into(),
            );
        }
        let day_open = self.writing.times.is_open().filter(|_| self.layout.time.is_none());
        if let Some((date, line)) = day_open {
            notes.add(
                "nothing in the file tells the day from the month, taken as day first (say which with --time, as in --time \"%m/%d/%Y %H:%M:%S\")",
                || format!("line {line}: \"{}\"", harmless(date)),
            );
        }
        if self.times.have_other_days() {
            notes.add(
                "days that are not understood, so the log begins on none (--time says how they are written)",
                || "the first row".into(),
            );
        } else if self.times.are_of_no_day() {
            notes.add("times have no day, so the log begins on none (say --date)", || "the first row".into());
        }
        let unordered = in_order(&mut rows, notes);
        let hold_now = holds(&rows.times);
        plausible::times(&rows, hold_now.quick, self.columns.lasts.is_some())?;
        let start = rows.times[0];
        let lost = passed.spans(early, reversed, (start, rows.times[rows.len() - 1]), hold_now.typical);
        let lost = lost.chain(unordered.into_iter().map(|at| (at, at + hold_now.typical))).collect();
        let clock = self.zone.and_then(|zone| Some(Clock { start: moment(start)?, zone }));
        Ok(Table { unit: self.columns.unit, rows, clock, hold: hold_now, lost })
    }
}

fn moment(seconds: f64) -> Option<Timestamp> {
    let since = SignedDuration::from_millis((seconds * 1_000.0).round() as i64);
    Timestamp::UNIX_EPOCH.checked_add(since).ok()
}

/// Rows that could not be used: behind a row of what time, and how many.
#[derive(Default)]
struct Passed(Vec<(Option<f64>, f64)>);

impl Passed {
    fn add(&mut self, last: Option<f64>) {
        match self.0.last_mut() {
            Some((at, count)) if *at == last => *count += 1.0,
            _ => self.0.push((last, 1.0)),
        }
    }

    /// The time that they would have covered, each as long as a reading typically holds, in a log from `start` to `end`; times as they were
    /// read were too `early`, and the newest came first where rows are `reversed`.
    fn spans(
        &self,
        early: f64,
        reversed: bool,
        (start, end): (f64, f64),
        typical: f64,
    ) -> impl Iterator<Item = (f64, f64)> {
        self.0.iter().map(move |&(at, count)| {
            let lasts = count * typical;
            let from = match at.map(|at| at + early) {
                Some(at) if reversed => at - lasts,
                Some(at) => at + typical,
                None if reversed => end + typical,
                None => start - lasts,
            };
            (from, from + lasts)
        })
    }
}

fn holds(times: &[f64]) -> Hold {
    let intervals = times.windows(2).map(|p| p[1] - p[0]);
    let mut intervals: Vec<f64> = intervals.filter(|i| *i > 0.0).collect();
    if intervals.is_empty() {
        return Hold { quick: 1.0, typical: 1.0, limit: 1.0 };
    }
    let last = (intervals.len() - 1) as f64;
    let mut of = |part: f64| *intervals.select_nth_unstable_by((last * part) as usize, f64::total_cmp).1;
    Hold { quick: of(0.1), typical: of(0.5), limit: (GAP.get() * of(0.9)).max(GAP_AT_LEAST.get().0) }
}
