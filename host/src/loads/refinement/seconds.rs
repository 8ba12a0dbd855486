//! Power second by second within a span, and the edge of a step in it: what passes that look within washing share.

use tubtrace_units::Seconds;

use crate::loads::constants::steps::{EDGE_AT, EDGE_WITHIN};
use crate::loads::span::Span;
use crate::trace::Trace;

/// Longest washing that is looked at second by second: nothing washes for a day, and a CSV with a year in it would take all memory.
const LONGEST_WASH: Seconds = Seconds(86_400.0);

/// Mean power of each second of a span, in watts; not a number where readings are missing. Empty for a span of more than a day.
pub(super) fn seconds(span: &Span, trace: &Trace) -> Vec<f64> {
    if span.duration() > LONGEST_WASH {
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

/// Time of the first reading near `about` at which power crosses the edge of a step of at least `least` watts over `base`; `about`, if
/// there is none.
pub(super) fn edge(trace: &Trace, about: Seconds, base: f64, least: f64) -> Seconds {
    let steps: Vec<_> = trace.between(about - EDGE_WITHIN.get(), about + EDGE_WITHIN.get()).collect();
    let high = |p: f64| p - base > EDGE_AT.get() * least;
    let change = steps.windows(2).find(|p| high(p[0].power.0) != high(p[1].power.0));
    change.map_or(about, |p| p[1].start)
}
