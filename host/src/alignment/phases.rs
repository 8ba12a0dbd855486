//! Phases: intervals as a chart sees them, neighbours of one kind taken together.

use std::ops::Range;

use tubtrace_units::Seconds;

use crate::intervals::{Interval, Kind};

/// Neighbouring intervals of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Phase {
    /// What the machine does.
    pub kind: Kind,
    /// Which intervals of the cycle.
    pub intervals: Range<usize>,
    /// When it begins, from the first sample of the log.
    pub start: Seconds,
    /// When it ends, from the first sample of the log.
    pub end: Seconds,
}

impl Phase {
    /// How long it lasts.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end - self.start
    }
}

/// How long phases that are one interval of `kind` lasted: what was seen of it, pauses left out, and how much of that
/// lies in gaps. Purges and relays that blink are part of it.
pub(crate) fn lasted(kind: Kind, phases: &[Phase]) -> (Seconds, Seconds) {
    let time = |of: Kind| -> Seconds { phases.iter().filter(|a| a.kind == of).map(Phase::duration).sum() };
    let (Some(first), Some(last)) = (phases.first(), phases.last()) else { return Default::default() };
    let paused = if kind == Kind::Pause { Seconds(0.0) } else { time(Kind::Pause) };
    (last.end - first.start - paused, time(Kind::Gap))
}

/// The phases of a cycle.
#[must_use]
pub fn phases(intervals: &[Interval]) -> Vec<Phase> {
    let mut phases: Vec<Phase> = Vec::new();
    for (i, interval) in intervals.iter().enumerate() {
        match phases.last_mut() {
            Some(phase) if phase.kind == interval.kind => {
                (phase.intervals.end, phase.end) = (i + 1, interval.end)
            }
            _ => phases.push(Phase {
                kind: interval.kind,
                intervals: i..i + 1,
                start: interval.start,
                end: interval.end,
            }),
        }
    }
    phases
}
