//! One run of the machine.

use std::sync::Arc;

use tubtrace_units::Seconds;

use super::interval::Interval;
use super::record::Record;
use crate::trace::Noise;

/// How much of a run was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// Its current was metered.
    Current,
    /// Next to none of its current was metered: its water was heard, and its intervals are its fills.
    Faintly,
    /// None of its current was metered: its water was heard, and its intervals are its fills.
    Never,
}

/// One run of the machine.
#[derive(Clone, Debug)]
pub struct Cycle {
    /// Its intervals in order of time, without overlap.
    pub intervals: Vec<Interval>,
    /// Whether the machine was running when the log began, or damage of the log hides how it began.
    pub cut_at_start: bool,
    /// Whether the machine was running when the log ended, or damage of the log hides how it ended.
    pub cut_at_end: bool,
    /// How much of it was seen.
    pub seen: Seen,
    /// Time between two readings of its log.
    pub resolution: Seconds,
    /// Level of the supply pickup while the machine was idle before the cycle, if it was for a minute.
    pub idle_supply_noise: Option<Noise>,
    /// Its readings, for checks to measure from.
    pub record: Arc<Record>,
}

impl Cycle {
    /// Start of its first interval, from the first sample of the log.
    #[must_use]
    pub fn start(&self) -> Seconds {
        self.intervals.first().map_or(Seconds(0.0), |i| i.start)
    }

    /// End of its last interval, from the first sample of the log.
    #[must_use]
    pub fn end(&self) -> Seconds {
        self.intervals.last().map_or(Seconds(0.0), |i| i.end)
    }

    /// Time from its start to its end.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end() - self.start()
    }
}
