//! What really happened, for whoever keeps the score. Nothing that detects may read it.

use serde::{Deserialize, Serialize};
use tubtrace_units::{Loads, Seconds};

use crate::machine::{Adaptation, Fault, Trouble};

/// What the control is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Doing {
    /// No programme runs.
    Idle,
    /// Water in.
    Fill,
    /// The wash pump runs.
    Wash,
    /// The wash pump runs and the element is told to heat.
    Heat,
    /// A purge.
    Purge,
    /// Water out.
    Drain,
    /// Drying.
    Dry,
    /// Nothing, in the middle of a programme.
    Pause,
}

/// A stretch in which the control does one thing with one set of loads.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub struct TruthInterval {
    /// What.
    pub doing: Doing,
    /// Loads that draw current.
    pub loads: Loads,
    /// From the first sample.
    pub start: Seconds,
    /// Likewise.
    pub end: Seconds,
}

/// A programme that ran.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct TruthCycle {
    /// From the first sample.
    pub start: Seconds,
    /// Likewise.
    pub end: Seconds,
    /// What was wrong.
    pub trouble: Option<Trouble>,
    /// What the control adapted.
    pub adaptation: Adaptation,
}

impl TruthCycle {
    /// The kind of what was wrong.
    #[must_use]
    pub fn fault(&self) -> Option<Fault> {
        self.trouble.map(|t| t.fault)
    }
}

/// Everything.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Truth {
    /// In order, without gaps.
    pub intervals: Vec<TruthInterval>,
    /// In order.
    pub cycles: Vec<TruthCycle>,
}

impl Truth {
    /// Ten milliseconds in which this was so.
    pub(crate) fn note(&mut self, doing: Doing, loads: Loads, start: Seconds, end: Seconds) {
        match self.intervals.last_mut() {
            Some(last) if last.doing == doing && last.loads == loads => last.end = end,
            _ => self.intervals.push(TruthInterval { doing, loads, start, end }),
        }
    }
}
