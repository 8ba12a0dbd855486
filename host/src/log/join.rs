//! Several logs in one file: one after the other on one axis of time.

use tubtrace_units::Seconds;

use super::constants::LOGS_APART;
use super::contents::Log;
use crate::text::from_start;
use crate::trace::{Burst, Clock, Health, Step, Trace};

/// Bytes of labels that are told one behind the other: a page's heading, and not one of thousands.
const LABELS: usize = 200;

/// Puts a log behind another: where the clocks of both say, or else an unknown time later.
pub(super) fn join(mut first: Log, second: Log) -> Log {
    let end = first.trace.duration();
    let told = first.trace.clock.zip(second.trace.clock).map(|(a, b)| between(&a, &b));
    // A clock that was set back puts the second log into the first: then nothing is known.
    let at = told.filter(|at| *at >= end);
    let what = match at {
        Some(_) => "another log begins in the same file, placed by its clock",
        None => "another log begins in the same file, how much later is not known",
    };
    first.notes.add(what, || from_start(end));
    let at = at.unwrap_or(end + LOGS_APART.get());
    first
        .notes
        .append(second.notes, at, |first| format!("{first} of the log that begins at {}", from_start(at)));
    append(&mut first.trace, second.trace, at);
    first
}

fn between(first: &Clock, second: &Clock) -> Seconds {
    Seconds(second.start.duration_since(first.start).as_secs_f64())
}

fn append(trace: &mut Trace, second: Trace, at: Seconds) {
    let span = |start: &mut Seconds, end: &mut Seconds| (*start, *end) = (*start + at, *end + at);
    trace.steps.extend(second.steps.iter().map(|s| Step { start: s.start + at, end: s.end + at, ..s }));
    trace.temperatures.extend(second.temperatures.into_iter().map(|mut t| {
        span(&mut t.start, &mut t.end);
        t
    }));
    trace.fills.extend(second.fills.into_iter().map(|mut f| {
        span(&mut f.start, &mut f.end);
        f
    }));
    trace.clipped.extend(second.clipped.into_iter().map(|(a, b)| (a + at, b + at)));
    trace.lost.extend(second.lost.into_iter().map(|(a, b)| (a + at, b + at)));
    trace.damaged.extend(second.damaged.into_iter().map(|(a, b)| (a + at, b + at)));
    trace.marks.extend(second.marks.into_iter().map(|m| m + at));
    trace.health.extend(second.health.into_iter().map(|h| Health { at: h.at + at, ..h }));
    trace.bursts.extend(second.bursts.into_iter().map(|b| Burst { start: b.start + at, ..b }));
    let known = trace.label.split(", ").any(|label| label == second.label);
    if !known && !second.label.is_empty() && trace.label.len() < LABELS {
        trace.label = format!("{}, {}", trace.label, second.label).trim_start_matches(", ").to_owned();
    }
    trace.battery_ended = second.battery_ended;
}
