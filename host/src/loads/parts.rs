//! Parts of a log that is long and unsteady: each is worked like a log by itself, so that memory does not grow with the segments of all.

use std::ops::Range;

use tubtrace_units::Seconds;

use super::constants::runs::{IDLE_BELOW, PART_LASTS, PART_SEGMENTS, RUNS_APART, WAITS_FOR};
use super::segment::grouped;
use crate::trace::Trace;

/// A part of a log.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Indices of its readings.
    pub steps: Range<usize>,
    /// Whether it had to end where the machine was not idle, and the next begin there.
    pub torn: bool,
}

/// The parts of a trace, in order of time: one, unless it has very many segments. Each but the last ends in idle time so long that no run
/// goes on behind it. Where a day has none, in any that lies between runs; where two days have none of that either, anywhere.
#[must_use]
pub fn parts(trace: &Trace) -> Vec<Part> {
    let (mut parts, mut from) = (Vec::new(), 0);
    let (mut count, mut begin, mut idle) = (0, Seconds(0.0), None);
    for segment in grouped(trace) {
        if segment.power.0 < IDLE_BELOW.get() {
            idle = idle.or(Some(segment.start));
        } else {
            idle = None;
        }
        count += 1;
        if count <= PART_SEGMENTS.get() {
            continue;
        }
        let lasts = idle.map(|since| segment.end - since);
        let passed = segment.end - begin;
        let torn = passed > PART_LASTS.get() * 2.0 && lasts.is_none_or(|l| l <= RUNS_APART.get());
        let wanted = if passed > PART_LASTS.get() { RUNS_APART.get() } else { WAITS_FOR.get() };
        if torn || lasts.is_some_and(|l| l > wanted) {
            let end = trace.steps.partition_point(|s| s.end <= segment.end);
            parts.push(Part { steps: from..end, torn });
            (from, count, begin, idle) = (end, 0, segment.end, None);
        }
    }
    if from < trace.steps.len() || parts.is_empty() {
        parts.push(Part { steps: from..trace.steps.len(), torn: false });
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::trace;

    /// A load whose power goes up and down from second to second, and idle time.
    fn days(runs: usize, unsteady: u32, idle: u32) -> Trace {
        let run: Vec<(u32, f64)> = (0..unsteady).map(|i| (1, 90.0 + 20.0 * f64::from(i % 2))).collect();
        trace(&[run, vec![(idle, 2.0)]].concat().repeat(runs))
    }

    #[test]
    fn a_steady_log_is_one_part() {
        let steady = trace(&[(600, 2.0), (60, 25.0), (900, 95.0), (600, 1_900.0)].repeat(100));
        assert_eq!(parts(&steady), [Part { steps: 0..steady.steps.len(), torn: false }]);
        assert_eq!(parts(&trace(&[])).len(), 1);
    }

    #[test]
    fn parts_end_in_idle_time_and_leave_nothing_out() {
        let log = days(6, 9_000, 4_000);
        let parts = parts(&log);
        assert!(parts.len() > 1 && parts.iter().all(|p| !p.torn), "{parts:?}");
        let next = parts.iter().fold(0, |at, p| {
            assert_eq!(p.steps.start, at);
            p.steps.end
        });
        assert_eq!(next, log.steps.len());
        for part in &parts[1..] {
            let last = log.steps.get(part.steps.start - 1);
            assert!(last.is_some_and(|s| s.power.0 == 2.0), "{last:?}");
        }
    }

    #[test]
    fn what_is_never_idle_is_torn_after_two_days() {
        let parts = parts(&days(1, 400_000, 1));
        assert!(parts.len() > 1 && parts[0].torn && parts[0].steps.len() >= 2 * 86_400, "{parts:?}");
    }
}
