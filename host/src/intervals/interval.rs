//! One interval, and what was measured in it.

use tubtrace_units::{Amps, Celsius, Load, Loads, Seconds, Watts};

use super::constants::{CLAMP_LEAST, CLAMP_PART};
use super::kind::Kind;
use super::lag::Settled;
use crate::loads::Posterior;
use crate::trace::Noise;

/// A stretch of time in which the machine does one thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// What the machine does.
    pub kind: Kind,
    /// The loads that run.
    pub loads: Loads,
    /// When it starts, from the first sample of the log.
    pub start: Seconds,
    /// When it ends, from the first sample of the log.
    pub end: Seconds,
    /// Probability that these are the loads, averaged over the interval; below 0.8 it is said that it cannot be told.
    pub certainty: f64,
    /// The probability of each joint state of the loads, averaged likewise; none where nothing was inferred.
    pub states: Posterior,
    /// The water it belongs to: 1 from the first fill, 2 from the next fill after a drain, and so on.
    pub water: u32,
    /// What was measured in it.
    pub measured: Measured,
}

impl Interval {
    /// Time from its start to its end.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end - self.start
    }

    /// Probability that this load runs, whatever else does.
    #[must_use]
    pub fn runs(&self, load: Load) -> f64 {
        let known = if self.loads.has(load) { self.certainty } else { 0.0 };
        self.states.any(|state| state.loads().has(load)).max(known)
    }

    /// Expanded uncertainty (k = 2) of that.
    #[must_use]
    pub fn lasts_doubt(&self) -> Seconds {
        let Edges { start, end } = self.measured.edges;
        Seconds(2.0 * start.0.hypot(end.0))
    }
}

/// How well the two ends of an interval are known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Edges {
    /// Standard uncertainty of its start.
    pub start: Seconds,
    /// Standard uncertainty of its end.
    pub end: Seconds,
}

/// What was measured in an interval.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Measured {
    /// How well its ends are known.
    pub edges: Edges,
    /// Median power, as it was metered.
    pub power: Watts,
    /// Median current; from a meter of watts, at nominal volts.
    pub amps: Amps,
    /// Supply water at its end, with the clip's lag taken out.
    pub supply: Option<Settled>,
    /// Water in the drain hose at its end, with the clip's lag taken out.
    pub drain: Option<Settled>,
    /// Level of the supply pickup in the loudest twentieth of the time.
    pub supply_noise: Option<Noise>,
    /// Level of the drain pickup in the loudest twentieth of the time.
    pub drain_noise: Option<Noise>,
    /// Highest temperature of the drain clip, with its lag.
    pub drain_clip_peak: Option<Celsius>,
}

impl Measured {
    /// Expanded uncertainty (k = 2) of the current.
    #[must_use]
    pub fn amps_doubt(&self) -> Amps {
        (self.amps * CLAMP_PART.get()).max(CLAMP_LEAST.get())
    }

    /// Expanded uncertainty (k = 2) of the power; none, where nothing was drawn.
    #[must_use]
    pub fn power_doubt(&self) -> Option<Watts> {
        (self.amps > Amps(0.0)).then(|| Watts(self.amps_doubt() / self.amps * self.power.0))
    }
}
