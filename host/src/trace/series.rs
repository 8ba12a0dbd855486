//! A log as a time series.

use std::ops::Range;

use tubtrace_units::{Amps, Seconds, Watts};

use super::clock::Clock;
use super::meter::{Meter, Nominal};
use super::readings::{Burst, Health, HeardFill, Step, Temperature};
use super::steps::Steps;

/// A log as a time series.
#[derive(Clone, Debug)]
pub struct Trace {
    /// Readings of current or power.
    pub steps: Steps,
    /// Readings of the clips; empty without them.
    pub temperatures: Vec<Temperature>,
    /// Fills that the logger heard.
    pub fills: Vec<HeardFill>,
    /// When the current was at the end of the clamp's range, from and to.
    pub clipped: Vec<(Seconds, Seconds)>,
    /// Where readings stood that could not be used, from and to: what held there is not known, though a reading before it may be
    /// taken to go on. The first may begin before the first sample.
    pub lost: Vec<(Seconds, Seconds)>,
    /// Gaps that damage of the log has made, from and to: no sign that the machine or its mains stopped.
    pub damaged: Vec<(Seconds, Seconds)>,
    /// Presses of the button.
    pub marks: Vec<Seconds>,
    /// How the logger was; empty for other meters.
    pub health: Vec<Health>,
    /// What the current looked like around sudden changes; likewise.
    pub bursts: Vec<Burst>,
    /// When, if the log says.
    pub clock: Option<Clock>,
    /// Whether current or power was measured.
    pub meter: Meter,
    /// What turns amperes into watts.
    pub nominal: Nominal,
    /// What the technician called it.
    pub label: String,
    /// Time between two readings, typically: no edge is known better.
    pub resolution: Seconds,
    /// Whether the logger stopped because its battery was empty.
    pub battery_ended: bool,
}

impl Trace {
    /// From the first sample to the last.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.steps.last().map_or(Seconds(0.0), |s| s.end)
    }

    /// Whether flow is heard.
    #[must_use]
    pub fn has_pickups(&self) -> bool {
        self.steps.first().is_some_and(|s| s.detail.is_some())
    }

    /// The part of these readings, with all else that was recorded while they hold. Times stay as they are.
    #[must_use]
    pub fn part(&self, readings: Range<usize>) -> Self {
        let steps = self.steps.slice(readings);
        let (start, end) =
            steps.first().zip(steps.last()).map_or_else(Default::default, |(a, b)| (a.start, b.end));
        let spans =
            |of: &[(Seconds, Seconds)]| of.iter().copied().filter(|s| s.1 >= start && s.0 <= end).collect();
        let within = |at: Seconds| at >= start && at < end;
        Self {
            steps,
            temperatures: self
                .temperatures
                .iter()
                .filter(|t| t.end > start && t.start < end)
                .copied()
                .collect(),
            fills: self.fills.iter().filter(|f| within(f.start)).copied().collect(),
            clipped: spans(&self.clipped),
            lost: spans(&self.lost),
            damaged: spans(&self.damaged),
            marks: self.marks.iter().copied().filter(|at| within(*at)).collect(),
            health: self.health.iter().filter(|h| within(h.at)).copied().collect(),
            bursts: self.bursts.iter().filter(|b| within(b.start)).cloned().collect(),
            clock: self.clock,
            label: self.label.clone(),
            ..*self
        }
    }

    /// For how long the current was at the end of the clamp's range in `start..end`.
    #[must_use]
    pub fn clipped_within(&self, start: Seconds, end: Seconds) -> Seconds {
        let within = |(from, to): &(Seconds, Seconds)| (to.min(end) - from.max(start)).max(Seconds(0.0));
        self.clipped.iter().map(within).sum()
    }

    /// The steps that touch `start..end`, cut to it.
    pub fn between(&self, start: Seconds, end: Seconds) -> impl Iterator<Item = Step> + '_ {
        self.steps.between(start, end)
    }

    /// Where nothing is known: from the end of a step to the start of the next. Less than half a tick is rounding.
    pub fn gaps(&self) -> impl Iterator<Item = (Seconds, Seconds)> + '_ {
        self.steps.apart().filter(|(end, start)| start.0 - end.0 > 0.05)
    }

    /// Current for a power of this trace.
    #[must_use]
    pub fn amps(&self, power: Watts) -> Amps {
        power.over(self.nominal.volts)
    }
}
