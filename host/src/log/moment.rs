//! Times of a CSV: seconds, ISO 8601, or as was said; and what a change of summer time does to those without an offset.

use jiff::civil::{Date, DateTime, Time};
use jiff::fmt::strtime::BrokenDownTime;
use jiff::fmt::temporal::{Pieces, PiecesOffset};
use jiff::tz::{Offset, TimeZone};
use jiff::{SignedDuration, Span, Timestamp};

use super::calendar::{Order, day, written};
use super::columns::{Columns, Writing};
use super::layout::{DAYS, Layout, MILLISECONDS};
use super::number::{Decimal, number};
use super::row::Rows;
use crate::trace::Zone;

/// Such days to the first of 1970 (ECMA-376 part 1, 18.17.4.1, the date base of 1900).
const DAYS_TO_1970: f64 = 25_569.0;

/// Seconds from 1970 to the end of the year 9999 (ISO 8601), which no time is beyond.
const LATEST: f64 = 253_402_300_800.0;

/// Seconds that no log counts from its own beginning: 31 years. They count from 1970, as POSIX has it.
const SINCE_1970: f64 = 1e9;

/// Seconds of a day, and of half of one: a time of day that is further back than that is one of the next day.
const DAY: f64 = 86_400.0;

/// A moment as it is written.
pub(super) struct Moment {
    /// Seconds since 1970, or since whatever a file of seconds counts from.
    pub(super) seconds: f64,
    /// What is known of local time; nothing, if these are seconds.
    pub(super) zone: Option<Zone>,
}

impl Moment {
    /// Whether no calendar has it.
    pub(super) fn is_beyond(&self) -> bool {
        self.seconds.abs() >= LATEST
    }
}

/// Reads one time after the other.
pub(super) struct Times<'a> {
    layout: &'a Layout,
    decimal: Decimal,
    /// Seconds of one, where they are counted.
    second: f64,
    /// Which field of a date is the day.
    order: Order,
    /// Whether each time is before the one above it.
    newest_first: bool,
    /// The time before, which tells one of two hours of the same name from the other.
    before: f64,
    /// Whether any had no offset of its own.
    local: bool,
    /// Of times of day without a day: how many midnights have passed, fewer than none back in time, and the time of day before.
    midnights: f64,
    time_before: Option<f64>,
    /// Whether there was a day that is not understood.
    other_day: bool,
}

impl<'a> Times<'a> {
    pub(super) fn new(layout: &'a Layout, columns: &Columns, writing: &Writing) -> Self {
        let newest_first = writing.times.is_newest_first();
        Self {
            layout,
            decimal: writing.time,
            second: columns.second,
            order: writing.times.order(),
            newest_first,
            before: if newest_first { f64::INFINITY } else { f64::NEG_INFINITY },
            local: false,
            midnights: 0.0,
            time_before: None,
            other_day: false,
        }
    }

    /// Whether times were read that have no offset of their own.
    pub(super) const fn are_local(&self) -> bool {
        self.local
    }

    /// Whether times were read that are times of day, and nobody says of which.
    pub(super) fn are_of_no_day(&self) -> bool {
        self.time_before.is_some() && self.layout.date.is_none()
    }

    /// Whether a day stood beside them that is not understood.
    pub(super) const fn have_other_days(&self) -> bool {
        self.other_day
    }

    /// By how much times of day are too early that were read from the newest to the oldest, whose day was not known yet.
    pub(super) fn too_early(&self) -> f64 {
        if self.newest_first { -self.midnights * DAY } else { 0.0 }
    }

    /// Seconds since some origin, which is 1970 if a zone comes with them. The day may stand apart from the time of day.
    pub(super) fn read(&mut self, text: &str, apart: Option<&str>) -> Option<Moment> {
        let said = self.layout.has_letters();
        let both = apart.filter(|_| said || text.contains(':')).map(|day| format!("{day} {text}"));
        let moment = match both.as_deref().and_then(|both| self.written(both)) {
            Some(moment) => moment,
            None => {
                let alone = self.written(text)?;
                self.other_day |= both.is_some() && alone.zone.is_none();
                alone
            }
        };
        self.before = moment.seconds;
        Some(moment)
    }

    /// A moment as it was said to be written; or as a number, by ISO 8601, or as a time of day.
    fn written(&mut self, text: &str) -> Option<Moment> {
        match self.layout.time.as_deref() {
            Some(MILLISECONDS) => Some(counted(number(text, self.decimal)? / 1_000.0)),
            Some(DAYS) => {
                let milliseconds = ((number(text, self.decimal)? - DAYS_TO_1970) * DAY * 1_000.0).round();
                // No more than a calendar has: what is beyond becomes the end of it, and is refused.
                let since = SignedDuration::from_millis(milliseconds as i64);
                self.on_the_clock(
                    DateTime::constant(1970, 1, 1, 0, 0, 0, 0).checked_add(since).ok()?,
                    Zone::Unsaid,
                )
            }
            Some(format) => {
                let told = BrokenDownTime::parse(format, text).ok()?;
                match told.to_datetime() {
                    Ok(local) => self.on_the_clock(local, told.offset().map_or(Zone::Unsaid, Zone::At)),
                    Err(_) => self.of_time(told.to_time().ok()?),
                }
            }
            None => match number(text, self.decimal) {
                Some(count) => Some(counted(count * self.second)),
                None => self
                    .iso(text)
                    .or_else(|| self.by_people(text))
                    .or_else(|| self.of_time(text.parse().ok()?)),
            },
        }
    }

    /// As people and their spreadsheets write it.
    fn by_people(&mut self, text: &str) -> Option<Moment> {
        let told = written(text)?;
        if told.date.is_empty() {
            return self.of_day(told.seconds);
        }
        let zone = if told.utc { Zone::Utc } else { Zone::Unsaid };
        self.on_day(day(told.date, self.order)?, told.seconds, zone)
    }

    fn of_time(&mut self, time: Time) -> Option<Moment> {
        self.of_day(time.duration_since(Time::midnight()).as_secs_f64())
    }

    /// A time of day: of the day that was said, or of one that nobody knows, and of the next where it is far behind the one before.
    fn of_day(&mut self, seconds: f64) -> Option<Moment> {
        let back = self.time_before.map_or(0.0, |before| before - seconds);
        if !self.newest_first && back > DAY / 2.0 {
            self.midnights += 1.0;
        } else if self.newest_first && -back > DAY / 2.0 {
            self.midnights -= 1.0;
        }
        self.time_before = Some(seconds);
        match self.layout.date {
            // Fewer than there are rows.
            Some(date) => {
                let day = date.checked_add(Span::new().try_days(self.midnights as i64).ok()?).ok()?;
                self.on_day(day, seconds, Zone::Unsaid)
            }
            None => Some(Moment { seconds: self.midnights * DAY + seconds, zone: None }),
        }
    }

    fn on_day(&mut self, day: Date, seconds: f64, zone: Zone) -> Option<Moment> {
        let since = SignedDuration::try_from_secs_f64(seconds).ok()?;
        self.on_the_clock(day.to_datetime(Time::midnight()).checked_add(since).ok()?, zone)
    }

    /// A space for the T, as spreadsheets write it, is understood too.
    fn iso(&mut self, text: &str) -> Option<Moment> {
        let pieces = Pieces::parse(text).ok()?;
        let local = pieces.date().to_datetime(pieces.time()?);
        let zone = match pieces.offset() {
            None => Zone::Unsaid,
            Some(PiecesOffset::Zulu) => Zone::Utc,
            Some(_) => Zone::At(pieces.to_numeric_offset().unwrap_or(Offset::UTC)),
        };
        self.on_the_clock(local, zone)
    }

    fn on_the_clock(&mut self, local: DateTime, zone: Zone) -> Option<Moment> {
        self.local |= zone == Zone::Unsaid;
        let at = |time: Timestamp| time.as_millisecond() as f64 / 1_000.0;
        let Some(place) = self.layout.zone.as_ref().filter(|_| zone == Zone::Unsaid) else {
            let seconds = at(zone.offset().to_timestamp(local).ok()?);
            return Some(Moment { seconds, zone: Some(zone) });
        };
        let moment =
            |time: Timestamp| Moment { seconds: at(time), zone: Some(Zone::At(place.to_offset(time))) };
        let both = place.to_ambiguous_timestamp(local);
        let (earlier, later) = (both.earlier().ok()?, both.later().ok()?);
        // In the hour that comes twice it is the first time until the clock has gone back, and the second until it has gone forward.
        let second = match self.newest_first {
            false => at(earlier) < self.before,
            true => at(later) <= self.before,
        };
        Some(moment(if both.is_ambiguous() && second { later } else { earlier }))
    }
}

/// A moment of a clock that counts seconds.
fn counted(seconds: f64) -> Moment {
    Moment { seconds, zone: (seconds >= SINCE_1970).then_some(Zone::Utc) }
}

/// An hour, by which summer time changes a clock.
const HOUR: f64 = 3_600.0;

/// Where local times of no known zone do what a change of summer time does, a sentence that asks for the zone. Rows are in the order of
/// the file, and readings no further apart than `limit`.
pub(super) fn summer_time(rows: &Rows, limit: f64) -> Option<String> {
    // The clocks of a log, which is no longer than 400 days, go back twice at most; rows that do so more often are out of order.
    if rows.times.windows(2).filter(|pair| pair[1] < pair[0]).count() > 2 {
        return None;
    }
    // A change brings a clock to the beginning of an hour.
    let begins = |time: f64| time.rem_euclid(HOUR) < limit;
    for (i, pair) in rows.times.windows(2).enumerate() {
        let (from, to) = (pair[0], pair[1]);
        let after = rows.times.get(i + 2).copied().unwrap_or(f64::NEG_INFINITY);
        let what = if begins(to) && after > to && (HOUR - limit..HOUR).contains(&(from - to)) {
            "goes back by an hour, as it does at the end of summer time"
        } else if begins(to) && begins(from + limit) && (HOUR..=HOUR + limit).contains(&(to - from)) {
            "skips an hour, as it does at the beginning of summer time"
        } else {
            continue;
        };
        return Some(format!(
            "line {}: from {} to {} the clock {what}, and the file does not say where that was; name the place, as in --zone America/Chicago, or --zone UTC if this clock never changes",
            rows.line(i + 1),
            clock(from),
            clock(to),
        ));
    }
    None
}

fn clock(seconds: f64) -> String {
    let time = Timestamp::UNIX_EPOCH.checked_add(SignedDuration::from_millis((seconds * 1_000.0) as i64));
    time.map_or_else(
        |_| format!("{seconds} s"),
        |t| TimeZone::UTC.to_datetime(t).strftime("%F %T").to_string(),
    )
}
