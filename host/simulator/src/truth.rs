//! What really happened, for whoever keeps the score. Nothing that detects may read it.

use serde::{Deserialize, Serialize};
use tubtrace_units::{Loads, Seconds};

use crate::machine::{Adaptation, Doing, Fault, Trouble};

/// A stretch in which the control does one thing with one set of loads.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub struct TruthInterval {
    /// What the control did.
    pub doing: Doing,
    /// Loads that draw current.
    pub loads: Loads,
    /// Its beginning, counted from the first sample.
    pub start: Seconds,
    /// Its end, counted from the first sample.
    pub end: Seconds,
}

/// A programme that ran.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct TruthCycle {
    /// Its beginning, counted from the first sample.
    pub start: Seconds,
    /// Its end, counted from the first sample.
    pub end: Seconds,
    /// The fault that was put in, if any.
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

/// Everything that happened in a night.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Truth {
    /// What the control did, in order and without gaps.
    pub intervals: Vec<TruthInterval>,
    /// The programmes that ran, in order.
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
