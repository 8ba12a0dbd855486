//! Runs of the machine before its loads are known: they are separated by idle time. A run that was metered by a clamp of another
//! range is brought to the scale of the others.

use std::borrow::Cow;
use std::ops::Range;

use tubtrace_units::Seconds;

use super::constants::runs::{
    CLIPPED_AT_MOST, IDLE_BELOW, IDLE_SMALL_CLAMP, IDLE_STEADY, IDLE_STEADY_PART, MOST_DRAWN, OUT_OF_SCALE,
    PROGRAMME_DRAWS, PROGRAMME_LASTS, RUNS_APART,
};
use super::house::{House, apart};
use super::segment::{Segment, steady_segments};
use crate::stats::{weighted_median, weighted_quantile};
use crate::trace::{Meter, Trace};

/// A run of the machine, with the idle time before it.
#[derive(Clone, Debug)]
pub struct Run {
    /// Indices of its segments.
    pub segments: Range<usize>,
    /// When it starts, from the first sample of the log.
    pub start: Seconds,
    /// When it ends, from the first sample of the log.
    pub end: Seconds,
    /// Ratio of its power to that of the other runs, where it is so great that another clamp must have metered it.
    pub scale: Option<f64>,
    /// Whether what loads draw may be learned from it: it was metered by the same clamp as the others, within its range.
    pub(super) metered: bool,
}

/// A trace split into its runs, all of them at one scale.
#[derive(Clone, Debug)]
pub struct ScaledTrace<'a> {
    /// The trace as it was metered, but for what is not the machine's.
    pub original: Cow<'a, Trace>,
    /// The trace with the power of each run divided by its scale.
    pub trace: Cow<'a, Trace>,
    /// Segments of the scaled trace, in order of time.
    pub segments: Vec<Segment>,
    /// Its runs in order of time. Each segment belongs to one of them.
    pub runs: Vec<Run>,
    /// What else was on the meter, and is in none of these.
    pub house: Vec<House>,
}

impl<'a> ScaledTrace<'a> {
    /// Splits a trace into runs, without what else was on the meter, and brings those of another clamp to the scale of the others. The trace is copied only
    /// if there are any.
    #[must_use]
    pub fn of(metered: &'a Trace) -> Self {
        let (original, house) = match apart(metered) {
            Some((alone, house)) => (Cow::Owned(alone), house),
            None => (Cow::Borrowed(metered), Vec::new()),
        };
        let mut segments = steady_segments(&original);
        let ranges = split(&segments);
        let scales = scales(&original, &segments, &ranges);
        let run = |(range, scale): (Range<usize>, Option<f64>)| {
            let own = &segments[range.clone()];
            let (start, end) =
                own.first().zip(own.last()).map_or_else(Default::default, |(a, b)| (a.start, b.end));
            let metered = scale.is_none() && original.clipped_within(start, end) <= CLIPPED_AT_MOST.get();
            Run { segments: range, start, end, scale, metered }
        };
        let runs: Vec<Run> = ranges.into_iter().zip(scales).map(run).collect();
        let mut trace = original.clone();
        for (run, scale) in runs.iter().filter_map(|run| Some((run, run.scale?))) {
            segments[run.segments.clone()].iter_mut().for_each(|s| s.power = s.power / scale);
            trace.to_mut().steps.scale_down(run.start, run.end, scale);
        }
        Self { original, trace, segments, runs, house }
    }

    /// Scale of the run that overlaps `start..end`, if it was metered by another clamp.
    #[must_use]
    pub fn scale_within(&self, start: Seconds, end: Seconds) -> Option<f64> {
        let scaled = |run: &&Run| run.scale.is_some() && start < run.end && end > run.start;
        self.runs.iter().find(scaled)?.scale
    }

    /// Segments from which what loads draw is learned: those of runs that were metered within range by the usual clamp, or all of them if
    /// nothing is on in those.
    pub(super) fn metered(&self) -> Cow<'_, [Segment]> {
        if self.runs.iter().all(|run| run.metered) {
            return Cow::Borrowed(&self.segments);
        }
        let metered = self.runs.iter().filter(|run| run.metered);
        let kept: Vec<Segment> =
            metered.flat_map(|run| self.segments[run.segments.clone()].iter().copied()).collect();
        if kept.iter().any(|s| s.power.0 > IDLE_BELOW.get()) {
            kept.into()
        } else {
            (&self.segments[..]).into()
        }
    }
}

/// Ranges of segments that are runs, each with the idle time before it; together they cover all segments.
fn split(segments: &[Segment]) -> Vec<Range<usize>> {
    let mut runs = Vec::new();
    let (mut from, mut busy_until) = (0, None);
    let was_busy = busy(segments);
    for (i, o) in segments.iter().enumerate() {
        let busy = was_busy[i];
        if busy && busy_until.is_some_and(|end| o.start - end > RUNS_APART.get()) {
            // Idle time belongs to the run after it: a clamp is changed between two runs, and the idle level with it.
            let idle = idle_from(segments, from, i);
            runs.push(from..idle);
            from = idle;
        }
        if busy {
            busy_until = Some(o.end);
        }
    }
    runs.push(from..segments.len());
    runs
}

/// Index of the first segment of the idle time that ends at `to`, in which power no longer changes. A vent that runs before that
/// belongs to the run.
fn idle_from(segments: &[Segment], from: usize, to: usize) -> usize {
    let level = segments[to - 1].power.0;
    let same =
        |o: &Segment| (o.power.0 - level).abs() < IDLE_STEADY.get().max(IDLE_STEADY_PART.get() * level);
    let last = segments[from..to].iter().rposition(|o| !same(o));
    last.map_or(from, |last| from + last + 1)
}

/// For each segment, whether something is on. Through a clamp for a tenth of the current the control alone seems to draw tens of watts,
/// so a small power that lasts as long as the idle time between runs counts as idle.
fn busy(segments: &[Segment]) -> Vec<bool> {
    let small = |o: &Segment| o.power.0 < IDLE_SMALL_CLAMP.get();
    let mut busy = Vec::with_capacity(segments.len());
    for stretch in segments.chunk_by(|a, b| small(a) == small(b) && !b.after_gap) {
        let lasts: Seconds = stretch.iter().map(Segment::duration).sum();
        let idle = small(&stretch[0]) && lasts > RUNS_APART.get();
        busy.extend(stretch.iter().map(|o| !idle && o.power.0 > IDLE_BELOW.get()));
    }
    busy
}

/// Scale of each run, where it draws so much more than the others that another clamp must have metered it.
fn scales(trace: &Trace, segments: &[Segment], runs: &[Range<usize>]) -> Vec<Option<f64>> {
    if trace.meter == Meter::Power {
        return vec![None; runs.len()];
    }
    let was_busy = busy(segments);
    let busy = |run: &Range<usize>| {
        segments[run.clone()].iter().zip(&was_busy[run.clone()]).filter(|(_, b)| **b).map(|(o, _)| o)
    };
    let lasts = |run: &Range<usize>| -> Seconds { busy(run).map(Segment::duration).sum() };
    let of = |run: &Range<usize>, part: f64| {
        weighted_quantile(busy(run).map(|o| (o.power.0, o.duration().0)), part)
    };
    let whole = |level: &(f64, f64)| level.1 > PROGRAMME_DRAWS.get();
    let levels: Vec<Option<(f64, f64)>> = runs
        .iter()
        .map(|r| {
            of(r, 0.5).zip(of(r, MOST_DRAWN.get())).filter(whole).filter(|_| lasts(r) > PROGRAMME_LASTS.get())
        })
        .collect();
    let others = |i: usize, which: fn((f64, f64)) -> f64| {
        let others = levels.iter().enumerate().filter(|(j, _)| *j != i).filter_map(|(_, l)| *l);
        // A run is compared with two others at least: of two runs nobody knows which one is wrong.
        let others: Vec<f64> = others.map(which).collect();
        (others.len() >= 2).then(|| weighted_median(others.into_iter().map(|l| (l, 1.0)))).flatten()
    };
    let scale = |(i, level): (usize, &Option<(f64, f64)>)| {
        let (usual, most) = (*level)?;
        let (usual, most) = (usual / others(i, |l| l.0)?, most / others(i, |l| l.1)?);
        // The usual power gives the scale: the greatest may be cut off at the end of the clamp's range.
        (usual > OUT_OF_SCALE.get() && most > OUT_OF_SCALE.get()).then_some(usual)
    };
    levels.iter().enumerate().map(scale).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::trace;

    /// Three runs of one machine, the last of them through a clamp that reads three times as much.
    #[test]
    fn a_run_of_another_clamp_is_brought_to_the_scale_of_the_others() {
        let run = |scale: f64| [(900, 2.0 * scale), (1_500, 100.0 * scale), (300, 1_800.0 * scale)];
        let original = trace(&[run(1.0), run(1.0), run(3.0)].concat());
        let scaled = ScaledTrace::of(&original);
        let scales: Vec<Option<f64>> = scaled.runs.iter().map(|run| run.scale).collect();
        assert_eq!(scales, [None, None, Some(3.0)]);
        let at = |trace: &Trace, second: usize| trace.steps.get(second).unwrap().power.0.round();
        assert_eq!((at(&original, 7_000), at(&scaled.trace, 7_000)), (300.0, 100.0));
        assert_eq!((at(&original, 1_500), at(&scaled.trace, 1_500)), (100.0, 100.0));
        let last = scaled.segments.last().map(|s| s.power.0.round());
        assert_eq!(last, Some(1_800.0));
        assert_eq!(scaled.scale_within(Seconds(7_000.0), Seconds(7_010.0)), Some(3.0));
    }

    #[test]
    fn runs_of_one_clamp_are_left_as_they_are() {
        let run = [(900, 2.0), (1_500, 100.0), (300, 1_800.0)];
        let original = trace(&run.repeat(3));
        let scaled = ScaledTrace::of(&original);
        assert_eq!(scaled.runs.len(), 3);
        assert!(matches!(scaled.trace, Cow::Borrowed(_)));
    }
}
