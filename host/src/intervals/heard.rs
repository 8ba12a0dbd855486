//! Runs that are heard and not seen: water comes again and again, and no current is drawn. Somebody has put the clamp around
//! both conductors, or around none.

use tubtrace_units::{Load, Loads, Seconds};

use super::{Cycle, Interval, Kind, Measured, Seen};
use crate::loads::{APART, Levels, Span, State};
use crate::trace::{Step, Trace};

/// A fill that is heard, and during which next to nothing is drawn.
type Unpowered = (Seconds, Seconds);

/// Less is a tap in the kitchen.
const FILL: Seconds = Seconds(15.0);

/// Fills of one run are no farther apart than this. Common practice, no source.
const WITHIN: Seconds = Seconds(2_700.0);

/// So many make a run.
const RUN: usize = 3;

/// What a clamp around both conductors still sees of a heater goes on for so long after the last fill.
const GHOSTS: Seconds = Seconds(2_700.0);

/// What is drawn above standby while nothing but the control runs.
const NOTHING: f64 = 2.0;

/// Part of a fill whose current must be known.
const NEARLY_ALL: f64 = 0.9;

/// And what is more than the converter's noise.
const FAINT: f64 = 1.0;

/// Runs that are heard and not seen, as the fills of each.
pub(super) fn runs(spans: &[Span], trace: &Trace, levels: &Levels) -> Vec<Vec<Unpowered>> {
    let mut runs: Vec<Vec<Unpowered>> = Vec::new();
    for fill in trace.fills.iter().filter(|f| f.end - f.start >= FILL) {
        // Where readings are missing, nobody knows what was drawn.
        if drawn(trace, fill.start, fill.end).is_none_or(|power| power > levels.standby.0 + NOTHING) {
            continue;
        }
        let fill = (fill.start, fill.end);
        let seen_between = |from: Seconds| powered_fill(spans, trace, levels, from, fill.0);
        match runs.last_mut() {
            Some(run) if fill.0 - run[run.len() - 1].1 <= WITHIN && !seen_between(run[0].0) => run.push(fill),
            _ => runs.push(vec![fill]),
        }
    }
    runs.retain(|run| run.len() >= RUN);
    // A run that was seen up to there, and in the middle of something, is that run: its clamp fell off.
    runs.retain(|run| !goes_on(spans, run[0].0));
    runs
}

/// What is drawn in half of the time or more; `None` where not nearly all of it is known.
fn drawn(trace: &Trace, start: Seconds, end: Seconds) -> Option<f64> {
    let known: Seconds = trace.between(start, end).map(|s| s.duration()).sum();
    let power = trace.between(start, end).map(|s| (s.power.0, s.duration().0));
    crate::loads::median(power).filter(|_| known > (end - start) * NEARLY_ALL)
}

/// Whether a fill that draws what a valve draws came in this time.
fn powered_fill(spans: &[Span], trace: &Trace, levels: &Levels, from: Seconds, to: Seconds) -> bool {
    let fills = spans.iter().filter(|s| s.state == State::Fill && s.start > from && s.start < to);
    let mut lasting = fills.filter(|s| s.end - s.start >= FILL);
    lasting.any(|s| drawn(trace, s.start, s.end).is_some_and(|p| p > levels.standby.0 + NOTHING))
}

/// Whether what was last seen before `at` was the middle of a run: washing, or a fill that was begun.
fn goes_on(spans: &[Span], at: Seconds) -> bool {
    let before = spans.iter().rev().find(|s| s.start < at && s.state != State::Off);
    let middle = |s: &Span| s.state.loads().has(Load::WashPump) || s.state == State::Fill;
    before.is_some_and(|s| at - s.end <= APART || (at - s.end <= WITHIN && middle(s)))
}

/// Spans without those that a run heard and not seen has left in the trace: a clamp around both conductors sees a
/// hundredth of a heater, which looks like something small.
pub(super) fn without_ghosts(spans: &[Span], runs: &[Vec<Unpowered>]) -> Vec<Span> {
    let reach = |run: &Vec<Unpowered>| {
        let last = run[run.len() - 1].1;
        // The next run is its own.
        let next = spans.iter().find(|s| s.state == State::Wash && s.start > last);
        let to = last + GHOSTS;
        (run[0].0 - FILL, next.map_or(to, |next| to.min(next.start - APART)))
    };
    let reaches: Vec<(Seconds, Seconds)> = runs.iter().map(reach).collect();
    let ghostly = |s: &Span| reaches.iter().any(|(from, to)| s.start >= *from && s.end <= *to);
    let off = |s: &Span| if ghostly(s) { Span { state: State::Off, ..*s } } else { *s };
    spans.iter().map(off).collect()
}

/// Whether something of a heater is seen: a clamp around both conductors sees what their places in it differ by.
fn is_faint(run: &[Unpowered], trace: &Trace, levels: &Levels) -> bool {
    let (start, end) = (run[0].0, run[run.len() - 1].1);
    let drawn = |s: &Step| s.power.0 > levels.standby.0 + FAINT;
    let faint: Seconds = trace.between(start, end).filter(drawn).map(|s| s.duration()).sum();
    faint > Seconds(60.0)
}

/// The run as a cycle: fills, and whatever is between them.
pub(super) fn cycle(run: &[Unpowered], trace: &Trace, levels: &Levels) -> Cycle {
    let mut intervals: Vec<Interval> = Vec::new();
    for (i, &(start, end)) in run.iter().enumerate() {
        let water = i as u32 + 1;
        let of = |kind, loads, start, end| Interval {
            kind,
            loads,
            start,
            end,
            certainty: 0.5,
            water,
            measured: Measured::default(),
        };
        if let Some(last) = intervals.last() {
            intervals.push(of(Kind::Gap, Loads::NONE, last.end, start));
        }
        intervals.push(of(Kind::Fill, Loads::of(&[Load::FillValve]), start, end));
    }
    Cycle {
        intervals,
        cut_at_start: false,
        cut_at_end: false,
        seen: if is_faint(run, trace, levels) { Seen::Faintly } else { Seen::Never },
        idle_supply_noise: None,
        record: Default::default(),
    }
}
