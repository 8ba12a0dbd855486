//! Runs of the machine before anything is known of its loads: what is apart by idle time, and which of them were metered by a
//! clamp of the wrong range.

use std::ops::Range;

use tubtrace_units::Seconds;

use super::{Observation, median, quantile};
use crate::trace::{Meter, Trace};

/// Idle for longer than this, and what follows is another run.
pub(crate) const APART: Seconds = Seconds(600.0);

/// So little is idle, in watts.
const IDLE: f64 = 6.0;

/// What a control that waits varies by, in watts and as a part.
const STILL: (f64, f64) = (1.5, 0.2);

/// What is idle if nothing else comes, in watts.
const SMALL: f64 = 40.0;

/// A run whose current is at the end of the clamp's range for longer than this says nothing of the machine's levels.
const CLIPPED: Seconds = Seconds(10.0);

/// A run that draws so many times what the others do, both as a rule and at most, was metered by another clamp. A house's mains
/// varies by a tenth, and no fault makes all loads of a machine draw twice as much.
const OUT_OF_SCALE: f64 = 2.5;

/// Shorter runs are no programme.
const PROGRAMME: Seconds = Seconds(1_200.0);

/// What a run draws at most in which the machine washes or heats, in watts; one that does neither, or whose clamp sees next
/// to nothing, says nothing of the others. Common practice, no source.
const WASHES: f64 = 150.0;

/// The runs, each with the idle time before it; together, all observations.
pub(super) fn runs(observations: &[Observation]) -> Vec<Range<usize>> {
    let mut runs = Vec::new();
    let (mut from, mut busy_until) = (0, None);
    let was_busy = busy(observations);
    for (i, o) in observations.iter().enumerate() {
        let busy = was_busy[i];
        if busy && busy_until.is_some_and(|end| o.start - end > APART) {
            // The idle time is the next one's: whoever changes the clamp does so between two runs.
            let idle = idle_from(observations, from, i);
            runs.push(from..idle);
            from = idle;
        }
        if busy {
            busy_until = Some(o.end);
        }
    }
    runs.push(from..observations.len());
    runs
}

/// Where the idle time begins that ends at `to`: nothing changes in it any more. What is small before that, a vent as it may
/// be, belongs to the run.
fn idle_from(observations: &[Observation], from: usize, to: usize) -> usize {
    let level = observations[to - 1].power.0;
    let same = |o: &Observation| (o.power.0 - level).abs() < STILL.0.max(STILL.1 * level);
    let last = observations[from..to].iter().rposition(|o| !same(o));
    last.map_or(from, |last| from + last + 1)
}

/// Which observations are not idle. Through a clamp for a tenth of the current the control alone draws tens of watts: what is
/// small for as long as runs are apart is idle too.
fn busy(observations: &[Observation]) -> Vec<bool> {
    let small = |o: &Observation| o.power.0 < SMALL;
    let mut busy = Vec::with_capacity(observations.len());
    for stretch in observations.chunk_by(|a, b| small(a) == small(b) && !b.after_gap) {
        let lasts: Seconds = stretch.iter().map(Observation::duration).sum();
        let idle = small(&stretch[0]) && lasts > APART;
        busy.extend(stretch.iter().map(|o| !idle && o.power.0 > IDLE));
    }
    busy
}

/// For each run, how many times what the others draw it draws, if that is too much for the same clamp.
pub(super) fn scales(trace: &Trace, observations: &[Observation], runs: &[Range<usize>]) -> Vec<Option<f64>> {
    if trace.meter == Meter::Power {
        return vec![None; runs.len()];
    }
    let was_busy = busy(observations);
    let busy = |run: &Range<usize>| {
        observations[run.clone()].iter().zip(&was_busy[run.clone()]).filter(|(_, b)| **b).map(|(o, _)| o)
    };
    let lasts = |run: &Range<usize>| -> Seconds { busy(run).map(Observation::duration).sum() };
    let of = |run: &Range<usize>, part: f64| quantile(busy(run).map(|o| (o.power.0, o.duration().0)), part);
    let whole = |level: &(f64, f64)| level.1 > WASHES;
    let levels: Vec<Option<(f64, f64)>> = runs
        .iter()
        .map(|r| of(r, 0.5).zip(of(r, 0.97)).filter(whole).filter(|_| lasts(r) > PROGRAMME))
        .collect();
    let others = |i: usize, which: fn((f64, f64)) -> f64| {
        let others = levels.iter().enumerate().filter(|(j, _)| *j != i).filter_map(|(_, l)| *l);
        // One other is no majority.
        let others: Vec<f64> = others.map(which).collect();
        (others.len() >= 2).then(|| median(others.into_iter().map(|l| (l, 1.0)))).flatten()
    };
    let scale = |(i, level): (usize, &Option<(f64, f64)>)| {
        let (usual, most) = (*level)?;
        let (usual, most) = (usual / others(i, |l| l.0)?, most / others(i, |l| l.1)?);
        // What is at the end of the range is less than it was.
        (usual > OUT_OF_SCALE && most > OUT_OF_SCALE).then_some(usual)
    };
    levels.iter().enumerate().map(scale).collect()
}

/// The observations of all runs that the clamp could meter: levels of the others would be taken for the machine's. All of
/// them, where there are none.
pub(super) fn metered(
    trace: &Trace,
    observations: &[Observation],
    runs: &[Range<usize>],
    scales: &[Option<f64>],
) -> Vec<Observation> {
    let fits = |run: &Range<usize>| {
        let own = &observations[run.clone()];
        let (Some(first), Some(last)) = (own.first(), own.last()) else { return true };
        trace.clipped_within(first.start, last.end) <= CLIPPED
    };
    let kept: Vec<Observation> = runs
        .iter()
        .zip(scales)
        .filter(|(run, scale)| scale.is_none() && fits(run))
        .flat_map(|(run, _)| observations[run.clone()].iter().copied())
        .collect();
    if kept.iter().any(|o| o.power.0 > IDLE) { kept } else { observations.to_vec() }
}
