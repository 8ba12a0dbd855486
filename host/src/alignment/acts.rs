//! Acts: intervals as a chart sees them, neighbours of one kind taken together.

use std::ops::Range;

use tubtrace_units::Seconds;

use crate::intervals::{Interval, Kind};

/// Neighbouring intervals of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Act {
    /// What the machine does.
    pub kind: Kind,
    /// Which intervals of the cycle.
    pub intervals: Range<usize>,
    /// From the first sample of the log.
    pub start: Seconds,
    /// Likewise.
    pub end: Seconds,
}

impl Act {
    /// How long.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end - self.start
    }
}

/// How long acts that are one interval of `kind` lasted: what was seen of it, pauses left out, and how much of that
/// lies in gaps. Purges and relays that blink are part of it.
pub(crate) fn lasted(kind: Kind, acts: &[Act]) -> (Seconds, Seconds) {
    let time = |of: Kind| -> Seconds { acts.iter().filter(|a| a.kind == of).map(Act::duration).sum() };
    let (Some(first), Some(last)) = (acts.first(), acts.last()) else { return Default::default() };
    let paused = if kind == Kind::Pause { Seconds(0.0) } else { time(Kind::Pause) };
    (last.end - first.start - paused, time(Kind::Gap))
}

/// The acts of a cycle.
#[must_use]
pub fn acts(intervals: &[Interval]) -> Vec<Act> {
    let mut acts: Vec<Act> = Vec::new();
    for (i, interval) in intervals.iter().enumerate() {
        match acts.last_mut() {
            Some(act) if act.kind == interval.kind => (act.intervals.end, act.end) = (i + 1, interval.end),
            _ => acts.push(Act {
                kind: interval.kind,
                intervals: i..i + 1,
                start: interval.start,
                end: interval.end,
            }),
        }
    }
    acts
}
