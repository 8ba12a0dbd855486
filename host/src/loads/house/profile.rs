//! What a load of the house draws from its start on, and how that is taken off the readings.

use std::ops::Range;

use tubtrace_units::{Seconds, Watts};

use super::Stretch;
use crate::loads::constants::house::{STARTS_WITHIN, STEP_SPREAD};
use crate::loads::constants::runs::SEGMENT_POWER;
use crate::stats::median;
use crate::trace::Trace;

/// Readings at either end that may be averaged over the change, or lie in the start of a motor.
const BEGINS: Seconds = Seconds(4.0);
const ENDS: Seconds = Seconds(1.0);

/// Indices of the readings that touch a stretch.
pub(super) fn at(trace: &Trace, (from, to): Stretch) -> Range<usize> {
    let first = trace.steps.partition_point(|s| s.end <= from);
    first..trace.steps.partition_point(|s| s.start < to).max(first)
}

/// What a visit draws, from its start on.
pub(super) struct Profile {
    /// When each reading begins, from the start of the visit.
    after: Vec<f64>,
    /// Watts over nothing.
    watts: Vec<f64>,
}

impl Profile {
    pub(super) fn of(trace: &Trace, visit: Stretch, nothing: Watts) -> Self {
        let steps = trace.steps.slice(at(trace, visit));
        Self {
            after: steps.iter().map(|s| (s.start - visit.0).0).collect(),
            watts: steps.iter().map(|s| s.power.0 - nothing.0).collect(),
        }
    }

    /// What it draws so long after its start. Of one that lasts longer than this did it is what this drew last, but for its very end.
    fn watts(&self, after: f64) -> f64 {
        let next = self.after.partition_point(|a| *a <= after);
        let last = self.watts.len().saturating_sub(3);
        self.watts.get(next.saturating_sub(1).min(last)).copied().unwrap_or_default()
    }

    /// By how much it raises the power as it starts.
    pub(super) fn rises(&self) -> f64 {
        self.between(BEGINS.0, BEGINS.0 + STARTS_WITHIN.get().0)
    }

    /// By how much it lowers it as it ends.
    pub(super) fn falls(&self) -> f64 {
        let end = self.after.last().copied().unwrap_or_default();
        self.between(end - STARTS_WITHIN.get().0, end)
    }

    fn between(&self, from: f64, to: f64) -> f64 {
        let within = self.after.iter().zip(&self.watts).filter(|(after, _)| (from..to).contains(*after));
        let watts: Vec<f64> = within.map(|(_, watts)| *watts).collect();
        if watts.is_empty() { median(&self.watts) } else { median(&watts) }
    }
}

/// Takes a visit off the readings, as that of its profiles draws which leaves the least change. What is left of nothing is nothing.
pub(super) fn take_off(
    trace: &mut Trace,
    visit: Stretch,
    profiles: &[Profile],
    level: Watts,
    nothing: Watts,
) {
    let inner = trace.steps.slice(at(trace, (visit.0 + BEGINS, visit.1 - ENDS)));
    let left = |profile: &Profile| -> f64 {
        let alone = || inner.iter().map(|s| s.power.0 - profile.watts((s.start - visit.0).0));
        alone().zip(alone().skip(1)).map(|(a, b)| (b - a).abs().min(level.0)).sum()
    };
    let weighed = profiles.iter().map(|profile| (profile, left(profile)));
    let Some((profile, _)) = weighed.min_by(|a, b| a.1.total_cmp(&b.1)) else { return };
    let own = at(trace, visit);
    let taken: Vec<f64> =
        trace.steps.slice(own.clone()).iter().map(|s| profile.watts((s.start - visit.0).0)).collect();
    let near = SEGMENT_POWER.get().max(STEP_SPREAD.get() * level.0);
    for (power, taken) in trace.steps.powers_mut()[own].iter_mut().zip(taken) {
        let alone = (*power - taken).max(0.0);
        *power = if (alone - nothing.0).abs() < near { nothing.0 } else { alone };
    }
    smooth(trace, (visit.0 - ENDS, visit.0 + BEGINS));
    smooth(trace, (visit.1 - ENDS, visit.1 + ENDS));
}

/// Readings that stand out of those on either side, where something began or ended, become the later: no profile meets a start to the second.
fn smooth(trace: &mut Trace, around: Stretch) {
    let own = at(trace, around);
    let powers = trace.steps.powers_mut();
    let (Some(before), Some(after)) = (own.start.checked_sub(1), powers.get(own.end).copied()) else {
        return;
    };
    let before = powers[before];
    let stands_out = |p: &f64| *p > before.max(after) || *p < before.min(after);
    powers[own].iter_mut().filter(|p| stands_out(p)).for_each(|p| *p = after);
}
