//! What was wrong with a log, counted: loss is data.

use std::fmt;

use serde::Serialize;
use tubtrace_units::Seconds;

use crate::text::from_start;
use crate::trace::Clock;

/// Something that was passed over, how often, and where first.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Note {
    /// What, in the words of the report.
    pub what: String,
    /// How often it was noted.
    pub count: u64,
    /// Where first: "line 12", "byte 4096", "00:12:30 from the start".
    pub first: String,
    /// Of what has a time in the log: when it first was, and how long all of it lasts.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub time: Option<Time>,
}

/// When something was missing from a log.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Time {
    /// When first, from the first sample of the log.
    #[serde(rename = "first_s")]
    pub first: Seconds,
    /// How long, all times together.
    #[serde(rename = "lasts_s")]
    pub lasts: Seconds,
}

impl Note {
    /// For a person, who has a clock on the wall: by the time of day where the log knows it, and with its day where that is not the log's first.
    #[must_use]
    pub fn told(&self, clock: Option<&Clock>) -> String {
        let Self { what, count, first, time } = self;
        let of_day = time.zip(clock).and_then(|(time, clock)| {
            let (begins, at) = (clock.local(Seconds(0.0))?, clock.local(time.first)?);
            let format = if begins.date() == at.date() { "%H:%M:%S" } else { "%a %Y-%m-%d %H:%M:%S" };
            Some(at.strftime(format).to_string())
        });
        let at = of_day.as_ref().unwrap_or(first);
        let lasts = time.map(|time| how_long(time.lasts));
        match (count, lasts) {
            (0 | 1, None) => format!("{what}, at {at}"),
            (0 | 1, Some(lasts)) => format!("{what}, at {at} for {lasts}"),
            (_, None) => format!("{count} x {what}, first at {at}"),
            (_, Some(lasts)) => format!("{count} x {what}, first at {at}, {lasts} in all"),
        }
    }
}

/// A length of time, in minutes from two of them on.
fn how_long(time: Seconds) -> String {
    if time.0 < 120.0 { format!("{:.0} s", time.0) } else { format!("{:.0} min", time.0 / 60.0) }
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.told(None))
    }
}

/// All notes on a log, in the order in which they first came up.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Notes(Vec<Note>);

/// Different notes that are kept: more than a person reads. What comes after them is counted as one.
const KEPT: usize = 64;

/// What the rest is called.
const REST: &str = "more notes, each unlike those before";

impl Notes {
    /// Counts one more of `what`.
    pub fn add(&mut self, what: &str, place: impl FnOnce() -> String) {
        self.count(what, 1, None, place);
    }

    /// Counts one more of `what`, which is missing from the log from here on for so long.
    pub fn add_missing(&mut self, what: &str, first: Seconds, lasts: Seconds) {
        self.count(what, 1, Some(Time { first, lasts }), || from_start(first));
    }

    fn count(&mut self, what: &str, count: u64, time: Option<Time>, place: impl FnOnce() -> String) {
        if let Some(note) = self.0.iter_mut().find(|n| n.what == what) {
            note.count += count;
            if let Some((all, more)) = note.time.as_mut().zip(time) {
                all.lasts += more.lasts;
            }
        } else if self.0.len() < KEPT {
            self.0.push(Note { what: what.to_owned(), count, first: place(), time });
        } else if what != REST && self.0.len() == KEPT {
            self.0.push(Note { what: REST.to_owned(), count, first: place(), time: None });
        } else if let Some(rest) = self.0.last_mut() {
            rest.count += count;
        }
    }

    /// Adds the notes of another log, which begins so long after this one; `place` says where in both its places are.
    pub fn append(&mut self, other: Self, begins: Seconds, place: impl Fn(&str) -> String) {
        for Note { what, count, first, time } in other.0 {
            let time = time.map(|time| Time { first: time.first + begins, ..time });
            self.count(&what, count, time, || place(&first));
        }
    }

    /// All notes, in the order in which each was first made.
    #[must_use]
    pub fn all(&self) -> &[Note] {
        &self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trace::Zone;

    #[test]
    fn what_is_missing_is_told_by_the_clock_with_how_long_in_all() {
        let mut notes = Notes::default();
        notes.add_missing("gap", Seconds(197.0), Seconds(40.0));
        let start = "2012-05-23T10:33:40Z".parse().unwrap();
        let clock = Clock { start, zone: Zone::Unsaid };
        assert_eq!(notes.all()[0].told(Some(&clock)), "gap, at 10:36:57 for 40 s");
        notes.add_missing("gap", Seconds(2_000.0), Seconds(200.0));
        assert_eq!(notes.all()[0].told(Some(&clock)), "2 x gap, first at 10:36:57, 4 min in all");
        assert_eq!(notes.all()[0].to_string(), "2 x gap, first at 00:03:17 from the start, 4 min in all");
        let mut next_day = Notes::default();
        next_day.append(notes, Seconds(86_400.0), str::to_owned);
        assert_eq!(
            next_day.all()[0].told(Some(&clock)),
            "2 x gap, first at Thu 2012-05-24 10:36:57, 4 min in all"
        );
    }

    /// 40,000 panics, each with words of its own, are as much to read as 64, and none goes uncounted.
    #[test]
    fn notes_without_end_are_counted_and_not_kept() {
        let mut notes = Notes::default();
        (0..40_000).for_each(|n| notes.add(&format!("panic {n}"), || format!("byte {n}")));
        let mut all = Notes::default();
        all.add("before", || "the start".into());
        all.append(notes.clone(), Seconds(0.0), str::to_owned);
        assert_eq!(notes.all().len(), KEPT + 1);
        assert_eq!(notes.all()[KEPT].first, "byte 64");
        assert_eq!(notes.all().iter().map(|n| n.count).sum::<u64>(), 40_000);
        assert_eq!(all.all().len(), KEPT + 1);
        assert_eq!(all.all().iter().map(|n| n.count).sum::<u64>(), 40_001);
    }
}
