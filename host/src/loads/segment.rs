//! Segments: stretches of nearly constant readings. Loads are inferred for whole segments.

use tubtrace_units::{Amps, Seconds, Watts};

use super::constants::emission::{INDEPENDENT_FOR, SPEAKS_AGAIN};
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
    /// For how long it speaks for a level: how far a level is off has one cause, however long it lasts.
    pub speaks: Seconds,
    /// Of a single reading between others, which may be averaged over a change: the greatest power of the three.
    pub change: Option<Watts>,
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
    let mut segments: Vec<Segment> = grouped(trace).collect();
    mark_changes(&mut segments);
    let mut from = 0;
    for i in 1..segments.len() {
        if !goes_on(&segments[from], &segments[i]) {
            from = i;
        }
        let (said, lasts) = ((segments[i].start - segments[from].start).0, segments[i].duration().0);
        let anew = lasts.min((INDEPENDENT_FOR.get() - said).max(0.0));
        let again = (lasts - anew).min(INDEPENDENT_FOR.get()) * SPEAKS_AGAIN.get();
        segments[i].speaks = Seconds(anew + again);
    }
    segments
}

/// The segments one after the other, before each is marked by those beside it.
pub(super) fn grouped(trace: &Trace) -> impl Iterator<Item = Segment> + '_ {
    let mut group: Option<Group> = None;
    let steps = trace.steps.iter().map(Some).chain([None]);
    steps.filter_map(move |step| {
        let Some(step) = step else { return group.take().map(Group::close) };
        // Less than a hundredth of a second is rounding, not a gap.
        let after_gap = group.as_ref().is_none_or(|g| step.start.0 - g.end().0 > ROUNDING.get());
        if !after_gap && group.as_mut().is_some_and(|g| g.take(&step)) {
            return None;
        }
        group.replace(Group::new(&step, after_gap)).map(Group::close)
    })
}

/// Whether a segment has the level of an earlier one that has lasted since.
fn goes_on(first: &Segment, next: &Segment) -> bool {
    let apart = (next.power.0 - first.power.0).abs();
    let noise = |of: fn(&Detail) -> Noise| {
        let of = |s: &Segment| s.detail.as_ref().map_or(0.0, |d| of(d).0).max(PICKUP_OWN_NOISE.get());
        (of(first) / of(next)).ln().abs() < SEGMENT_NOISE.get().ln()
    };
    !next.after_gap
        && apart < SEGMENT_POWER.get().max(SEGMENT_POWER_PART.get() * first.power.0)
        && noise(|d| d.supply)
        && noise(|d| d.drain)
}

/// Leaves the mark only of one or two single readings between two stretches that last longer.
fn mark_changes(segments: &mut [Segment]) {
    let lasts: Vec<bool> = segments.iter().map(|s| s.change.is_none()).collect();
    let powers: Vec<f64> = segments.iter().map(|s| s.power.0).collect();
    let gaps: Vec<bool> = segments.iter().map(|s| s.after_gap).chain([true]).collect();
    for (i, segment) in segments.iter_mut().enumerate() {
        let before = (i.saturating_sub(2)..i).rev().find(|&b| lasts[b]);
        let after = (i + 1..(i + 3).min(lasts.len())).find(|&a| lasts[a]);
        let change = before.zip(after).filter(|(b, a)| a - b <= 3 && !gaps[b + 1..=*a].contains(&true));
        let most = change.map(|(b, a)| Watts(powers[b..=a].iter().copied().fold(0.0, f64::max)));
        segment.change = segment.change.and(most);
    }
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
            speaks: Seconds((self.end() - self.steps[0].start).0.min(INDEPENDENT_FOR.get())),
            change: (self.steps.len() == 1).then_some(Watts(0.0)),
        }
    }
}
