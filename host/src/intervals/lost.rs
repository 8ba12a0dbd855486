//! Whether so much of the readings was lost that nothing can be said of the runs.

use tubtrace_units::Seconds;

use super::constants::{LOG_MAY_BE_LOST, MAY_BE_LOST};
use super::cycle::Cycle;
use crate::loads::constants::runs::RUNS_APART;
use crate::text::{duration, from_start};
use crate::trace::Trace;

/// Why the runs of a log cannot be judged, if so many readings within them, or just before and after them, could not be used. Readings
/// that were lost while nothing ran do not matter, nor do gaps, in which there was nothing to lose.
#[must_use]
pub fn too_much_lost(trace: &Trace, cycles: &[Cycle]) -> Option<String> {
    cycles.iter().find_map(|cycle| of_run(trace, cycle)).or_else(|| of_log(trace))
}

/// The same of one run.
fn of_run(trace: &Trace, cycle: &Cycle) -> Option<String> {
    let (from, to) = (cycle.start() - RUNS_APART.get(), cycle.end() + RUNS_APART.get());
    let lost = covered(&trace.lost, from, to);
    let ran = cycle.end() - cycle.start();
    (lost > ran * MAY_BE_LOST.get()).then(|| {
        format!(
            "could not be judged: of the run of {2:.0} s that begins at {0}, and of the {3:.0} s before and after it, {1:.0} s of readings could not be used or were out of order (see the notes); mend the file, or say how it is written: --column, --time, --zone, --scale",
            from_start(cycle.start()), lost.0, ran.0, RUNS_APART.get().0,
        )
    })
}

/// The same of the whole log, in which a run may have been that nobody sees now.
fn of_log(trace: &Trace) -> Option<String> {
    // What stood before or behind all that is left is lost as well.
    let from = trace.lost.iter().map(|span| span.0).fold(Seconds(0.0), Seconds::min);
    let to = trace.lost.iter().map(|span| span.1).fold(trace.duration(), Seconds::max);
    let (whole, lost) = (to - from, covered(&trace.lost, from, to));
    if lost > whole * LOG_MAY_BE_LOST.get() {
        return Some(format!(
            "could not be judged: {} of readings could not be used or were out of order (see the notes), of {} in all, and a run may have been among them; mend the file, or say how it is written: --column, --time, --zone, --scale",
            duration(lost),
            duration(whole),
        ));
    }
    None
}

/// How much of the time between two moments these spans cover: each moment once, however many of them it is in.
fn covered(spans: &[(Seconds, Seconds)], from: Seconds, to: Seconds) -> Seconds {
    let within = spans.iter().map(|(start, end)| (start.max(from), end.min(to)));
    let mut within: Vec<_> = within.filter(|(start, end)| start < end).collect();
    within.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut until = from;
    let mut further = |(start, end): (Seconds, Seconds)| {
        let more = (end - start.max(until)).max(Seconds(0.0));
        until = until.max(end);
        more
    };
    within.into_iter().map(&mut further).sum()
}
