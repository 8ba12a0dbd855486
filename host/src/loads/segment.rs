//! Segments: stretches of nearly constant readings. Loads are inferred for whole segments.

use tubtrace_units::{Amps, Seconds, Watts};

use super::constants::runs::{
    PICKUP_OWN_NOISE, ROUNDING, SEGMENT_LONGEST, SEGMENT_NOISE, SEGMENT_POWER, SEGMENT_POWER_PART,
};
use crate::trace::{Detail, Noise, Step, Trace};

/// A stretch in which power and flow noise are nearly constant.
#[derive(Clone, Copy, Debug)]
pub struct Segment {
    /// When it starts, from the first sample of the log.
    pub start: Seconds,
    /// When it ends, from the first sample of the log.
    pub end: Seconds,
    /// Mean power over the segment.
    pub power: Watts,
    /// Mean current and flow noise, where a logger recorded them.
    pub detail: Option<Detail>,
    /// Whether readings are missing right before it.
    pub after_gap: bool,
}

impl Segment {
    /// Time from its start to its end.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end - self.start
    }
}

/// Groups the readings of a trace into segments, in order of time.
#[must_use]
pub fn steady_segments(trace: &Trace) -> Vec<Segment> {
    let mut segments = Vec::new();
    let mut group: Option<Group> = None;
    for step in &trace.steps {
        // Less than a hundredth of a second is rounding, not a gap.
        let after_gap = group.as_ref().is_none_or(|g| step.start.0 - g.end().0 > ROUNDING.get());
        if !after_gap && group.as_mut().is_some_and(|g| g.take(&step)) {
            continue;
        }
        if let Some(done) = group.replace(Group::new(&step, after_gap)) {
            segments.push(done.close());
        }
    }
    segments.extend(group.map(Group::close));
    segments
}

struct Group {
    steps: Vec<Step>,
    after_gap: bool,
    power: (f64, f64),
    supply: (f64, f64),
    drain: (f64, f64),
}

impl Group {
    fn new(step: &Step, after_gap: bool) -> Self {
        let noise = |of: fn(&Detail) -> Noise| step.detail.as_ref().map_or(0.0, |d| of(d).0);
        let (supply, drain) = (noise(|d| d.supply), noise(|d| d.drain));
        let both = |v| (v, v);
        Self {
            steps: vec![*step],
            after_gap,
            power: both(step.power.0),
            supply: both(supply),
            drain: both(drain),
        }
    }

    fn end(&self) -> Seconds {
        self.steps[self.steps.len() - 1].end
    }

    /// Adds a reading, if the segment stays nearly constant with it and is not too long; returns whether it was added.
    fn take(&mut self, step: &Step) -> bool {
        let wider = |(low, high): (f64, f64), v: f64| (low.min(v), high.max(v));
        let power = wider(self.power, step.power.0);
        let noise = |of: fn(&Detail) -> Noise| step.detail.as_ref().map_or(0.0, |d| of(d).0);
        let (supply, drain) =
            (wider(self.supply, noise(|d| d.supply)), wider(self.drain, noise(|d| d.drain)));
        // Below two counts a pickup hears itself.
        let noisy = |(low, high): (f64, f64)| high > SEGMENT_NOISE.get() * low.max(PICKUP_OWN_NOISE.get());
        let apart = power.1 - power.0 > 2.0 * SEGMENT_POWER.get().max(SEGMENT_POWER_PART.get() * power.0);
        if apart || noisy(supply) || noisy(drain) || step.end - self.steps[0].start > SEGMENT_LONGEST.get() {
            return false;
        }
        (self.power, self.supply, self.drain) = (power, supply, drain);
        self.steps.push(*step);
        true
    }

    fn close(self) -> Segment {
        let time: f64 = self.steps.iter().map(|s| s.duration().0).sum();
        let mean = |of: &dyn Fn(&Step) -> f64| {
            self.steps.iter().map(|s| of(s) * s.duration().0).sum::<f64>() / time.max(f64::MIN_POSITIVE)
        };
        let detail = self.steps[0].detail.map(|_| {
            let of = |f: fn(&Detail) -> f64| mean(&|s| s.detail.as_ref().map_or(0.0, f));
            Detail {
                fundamental: Amps(of(|d| d.fundamental.0)),
                third: Amps(of(|d| d.third.0)),
                supply: Noise(of(|d| d.supply.0)),
                drain: Noise(of(|d| d.drain.0)),
            }
        });
        Segment {
            start: self.steps[0].start,
            end: self.end(),
            power: Watts(mean(&|s| s.power.0)),
            detail,
            after_gap: self.after_gap,
        }
    }
}
