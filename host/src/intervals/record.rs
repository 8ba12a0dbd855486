//! The record of one run: its readings, those of its clips, and what each load of the machine draws. Checks measure from it what they
//! hold against limits, once.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use tubtrace_units::Seconds;

use super::constants::BEYOND;
use crate::loads::{ScaledTrace, Signatures};
use crate::quantity::Quantity;
use crate::trace::{Noise, Step, Steps, Temperature};

/// What was measured of a run at one time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sign {
    /// When, from the first sample of the log.
    pub at: Seconds,
    /// What it is measured of, where the check looks at several things; else empty.
    pub about: &'static str,
    /// The value that was measured, with its unit.
    pub value: Quantity,
    /// Its expanded uncertainty (k = 2), where that comes with the measurement.
    pub uncertainty: Option<Quantity>,
}

impl Sign {
    /// Measured of the one thing that the check looks at.
    #[must_use]
    pub const fn new(at: Seconds, value: Quantity) -> Self {
        Self { at, about: "", value, uncertainty: None }
    }
}

/// What was measured of a run.
#[derive(Clone, Debug, Default)]
pub struct Signs {
    /// By the word of the check that measured them.
    pub of: BTreeMap<&'static str, Vec<Sign>>,
    /// Level in the drain hose when nothing is heard there.
    pub quiet_hose: Option<Noise>,
}

impl Signs {
    /// What the check with this word measured.
    #[must_use]
    pub fn by(&self, check: &str) -> &[Sign] {
        self.of.get(check).map_or(&[], Vec::as_slice)
    }
}

/// The record of one run. That of a cycle made by hand is empty: it has no signs.
#[derive(Clone, Debug, Default)]
pub struct Record {
    /// Readings from the start of the run to that of the next, at the scale of the machine's other runs.
    pub steps: Steps,
    /// Readings of the clips in the run.
    pub temperatures: Vec<Temperature>,
    /// Time for which the current was at the end of the clamp's range.
    pub clipped: Seconds,
    /// Ratio of its power as metered to that of the other runs, where another clamp metered it.
    pub scale: Option<f64>,
    /// Time between two readings.
    pub resolution: Seconds,
    /// When the next run begins, or the log ends or has a hole in which one may have begun.
    pub until: Seconds,
    /// What each load of the machine draws; none in a cycle made by hand.
    pub signatures: Option<Signatures>,
    /// What the checks measured of it, filled when the first of them asks.
    pub(crate) signs: OnceLock<Signs>,
}

impl Record {
    /// Of a run from `start` to `end`, after which it is known until `until` that nothing ran.
    pub(super) fn of(
        start: Seconds,
        end: Seconds,
        until: Seconds,
        scaled: &ScaledTrace,
        signatures: Signatures,
    ) -> Self {
        let trace = &scaled.trace;
        let first = trace.steps.partition_point(|s| s.end <= start - BEYOND.get());
        let last = trace.steps.partition_point(|s| s.start < until.max(end + BEYOND.get()));
        let within = |r: &&Temperature| r.end > start && r.start < end;
        Self {
            steps: trace.steps.slice(first..last.max(first)),
            temperatures: trace.temperatures.iter().filter(within).copied().collect(),
            clipped: trace.clipped_within(start, end),
            scale: scaled.scale_within(start, end),
            resolution: trace.resolution,
            until,
            signatures: Some(signatures),
            signs: OnceLock::new(),
        }
    }

    /// The readings that touch `start..end`, cut to it.
    pub fn between(&self, start: Seconds, end: Seconds) -> impl Iterator<Item = Step> + '_ {
        self.steps.between(start, end)
    }
}
