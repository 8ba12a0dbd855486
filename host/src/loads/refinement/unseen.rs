//! Unseen runs: fills are heard again and again, and no current is metered. The clamp is around both conductors, or around none. What a
//! clamp around both still sees of the heater is spurious.

use tubtrace_units::{Load, Seconds};

use super::pass::{Evidence, Pass, Reading, UnseenRun};
use crate::loads::constants::order::{
    FILL_KNOWN, NOTHING_DRAWN, SPURIOUS_WITHIN, UNSEEN_FILL_LASTS, UNSEEN_FILLS, UNSEEN_FILLS_WITHIN,
};
use crate::loads::constants::runs::{RUN_LASTS, RUNS_APART};
use crate::loads::levels::Levels;
use crate::loads::span::Span;
use crate::loads::state::State;
use crate::stats::weighted_median;
use crate::trace::Trace;

pub(super) const PASS: Pass = Pass {
    name: "unseen",
    unknown: "that a run was heard while its current was not metered: what is left of a heater in the clamp looks like something small",
    refine: unseen,
};

/// Finds the unseen runs, and switches off the spurious spans in them.
fn unseen(reading: &mut Reading, evidence: &Evidence) {
    reading.unseen = runs(&reading.spans, evidence.trace, evidence.levels);
    reading.spans = without_spurious(&reading.spans, &reading.unseen);
}

/// The unseen runs: fills without current that are near each other and in no run that was seen.
fn runs(spans: &[Span], trace: &Trace, levels: &Levels) -> Vec<UnseenRun> {
    let mut runs: Vec<UnseenRun> = Vec::new();
    for fill in trace.fills.iter().filter(|f| f.end - f.start >= UNSEEN_FILL_LASTS.get()) {
        // Where readings are missing, the fill may have drawn current.
        if drawn(trace, fill.start, fill.end)
            .is_none_or(|power| power > levels.at(fill.start).standby.0 + NOTHING_DRAWN.get())
        {
            continue;
        }
        let fill = (fill.start, fill.end);
        let seen_between =
            |from: Seconds| powered_fill(spans, trace, levels, from, fill.0) || washes(spans, from, fill.0);
        match runs.last_mut() {
            Some(run)
                if fill.0 - run[run.len() - 1].1 <= UNSEEN_FILLS_WITHIN.get() && !seen_between(run[0].0) =>
            {
                run.push(fill)
            }
            _ => runs.push(vec![fill]),
        }
    }
    runs.retain(|run| run.len() >= UNSEEN_FILLS.get());
    // A run that was seen in the middle of its programme shortly before is the same run: its clamp fell off.
    runs.retain(|run| !goes_on(spans, run[0].0));
    runs
}

/// Median power of `start..end` in watts; none, where too many readings are missing.
fn drawn(trace: &Trace, start: Seconds, end: Seconds) -> Option<f64> {
    let known: Seconds = trace.between(start, end).map(|s| s.duration()).sum();
    let power = trace.between(start, end).map(|s| (s.power.0, s.duration().0));
    weighted_median(power).filter(|_| known > (end - start) * FILL_KNOWN.get())
}

/// Whether a fill whose valve draws current begins in `from..to`.
fn powered_fill(spans: &[Span], trace: &Trace, levels: &Levels, from: Seconds, to: Seconds) -> bool {
    let fills = spans.iter().filter(|s| s.state == State::Fill && s.start > from && s.start < to);
    let mut lasting = fills.filter(|s| s.end - s.start >= UNSEEN_FILL_LASTS.get());
    lasting.any(|s| {
        drawn(trace, s.start, s.end).is_some_and(|p| p > levels.at(s.start).standby.0 + NOTHING_DRAWN.get())
    })
}

/// Whether washing that lasts is seen in `from..to`: then current is metered, however little the valve adds to it.
fn washes(spans: &[Span], from: Seconds, to: Seconds) -> bool {
    let washes = |s: &Span| matches!(s.state, State::Wash | State::Heat) && s.duration() >= RUN_LASTS.get();
    spans.iter().any(|s| s.start > from && s.end < to && washes(s))
}

/// Whether a run that was seen goes on at `at`: its last span is shortly before, or is in the middle of a programme.
fn goes_on(spans: &[Span], at: Seconds) -> bool {
    let before = spans.iter().rev().find(|s| s.start < at && s.state != State::Off);
    let middle = |s: &Span| s.state.loads().has(Load::WashPump) || s.state == State::Fill;
    before.is_some_and(|s| {
        at - s.end <= RUNS_APART.get() || (at - s.end <= UNSEEN_FILLS_WITHIN.get() && middle(s))
    })
}

/// The spans with those in unseen runs switched off: a clamp around both conductors sees a hundredth of a heater, which looks like a
/// small load.
fn without_spurious(spans: &[Span], runs: &[UnseenRun]) -> Vec<Span> {
    let reach = |run: &UnseenRun| {
        let last = run[run.len() - 1].1;
        // A run that is seen afterwards is not part of the unseen one.
        let next = spans.iter().find(|s| s.state == State::Wash && s.start > last);
        let to = last + SPURIOUS_WITHIN.get();
        (run[0].0 - UNSEEN_FILL_LASTS.get(), next.map_or(to, |next| to.min(next.start - RUNS_APART.get())))
    };
    let reaches: Vec<(Seconds, Seconds)> = runs.iter().map(reach).collect();
    let spurious = |s: &Span| reaches.iter().any(|(from, to)| s.start >= *from && s.end <= *to);
    let off = |s: &Span| if spurious(s) { s.is_really(State::Off) } else { *s };
    spans.iter().map(off).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{FILL, STANDBY, heard, pass, spans};

    const FILLS: [(f64, f64); 3] = [(1_000.0, 1_060.0), (1_600.0, 1_660.0), (2_200.0, 2_260.0)];

    fn small() -> Vec<Span> {
        spans(&[(State::Off, 1_100.0), (State::Small, 300.0), (State::Off, 2_600.0)])
    }

    #[test]
    fn fills_without_current_are_a_run_and_what_is_small_in_it_is_nothing() {
        let reading = pass("unseen", small(), &heard(&[(4_000, STANDBY)], &FILLS));
        let fills: UnseenRun = FILLS.iter().map(|&(from, to)| (Seconds(from), Seconds(to))).collect();
        assert_eq!(reading.unseen, [fills]);
        assert!(reading.spans.iter().all(|s| s.state == State::Off), "{:?}", reading.spans);
    }

    #[test]
    fn fills_that_draw_a_valves_current_and_two_fills_are_none() {
        let drawn = heard(&[(4_000, STANDBY + FILL)], &FILLS);
        let two = heard(&[(4_000, STANDBY)], &FILLS[..2]);
        for trace in [drawn, two] {
            let reading = pass("unseen", small(), &trace);
            assert!(reading.unseen.is_empty() && reading.spans == small(), "{reading:?}");
        }
    }

    /// Beside a current that leads, that of a valve adds nothing that is seen.
    #[test]
    fn a_run_whose_pump_is_seen_is_none() {
        let washes =
            spans(&[(State::Off, 1_100.0), (State::Wash, 300.0), (State::Off, 300.0), (State::Wash, 300.0)]);
        let reading = pass("unseen", washes, &heard(&[(4_000, STANDBY)], &FILLS));
        assert!(reading.unseen.is_empty(), "{reading:?}");
    }
}
