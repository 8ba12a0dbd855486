//! Power second by second within a span, and the edge of a step in it: what passes that look within washing share.

use tubtrace_units::Seconds;

use super::Span;
use crate::trace::Trace;

/// Nothing washes for a day; a CSV with a year in it would take all memory.
const LONGEST: Seconds = Seconds(86_400.0);

/// Power of a span, second by second; not a number where nothing is known.
pub(super) fn seconds(span: &Span, trace: &Trace) -> Vec<f64> {
    if span.duration() > LONGEST {
        return Vec::new();
    }
    let mut sums = vec![(0.0, 0.0); (span.end - span.start).0 as usize];
    for step in trace.between(span.start, span.end) {
        let (from, to) = ((step.start - span.start).0, (step.end - span.start).0);
        let last = (to as usize).min(sums.len().saturating_sub(1));
        for (i, sum) in sums.iter_mut().enumerate().take(last + 1).skip(from as usize) {
            let time = to.min(i as f64 + 1.0) - from.max(i as f64);
            if time > 0.0 {
                *sum = (sum.0 + step.power.0 * time, sum.1 + time);
            }
        }
    }
    sums.into_iter().map(|(sum, time)| sum / time).collect()
}

/// The change itself, to a window, within a second and a half of `about`: where power is nearest to half of the step and
/// changes most.
pub(super) fn edge(trace: &Trace, about: Seconds, base: f64, least: f64) -> Seconds {
    let half = Seconds(1.5);
    let steps: Vec<_> = trace.between(about - half, about + half).collect();
    let high = |p: f64| p - base > 0.7 * least;
    let change = steps.windows(2).find(|p| high(p[0].power.0) != high(p[1].power.0));
    change.map_or(about, |p| p[1].start)
}
