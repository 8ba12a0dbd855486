//! Cycles: what the spans of a run are called, and what was measured in them.

use std::sync::Arc;

use tubtrace_units::{Loads, Seconds};

use super::constants::{DAMAGE_BESIDE, HIDES_A_DRAIN, IDLE_NOISE_FROM, LONGEST_GAP, RESTS_WITHIN};
use super::cycle::{Cycle, Seen, may_hide};
use super::ends::{Named, place};
use super::interval::{Edges, Interval};
use super::kind::Kind;
use super::measure::measure;
use super::record::Record;
use crate::loads::constants::runs::{ROUNDING, RUNS_APART};
use crate::loads::programmes::{fills_long, in_water};
use crate::loads::{Inferred, Posterior, ScaledTrace, Span, State};
use crate::stats::weighted_median;
use crate::trace::{Noise, Trace};

/// The cycle of a run, whose next begins at `until`. Before it the machine was idle from `idle_from` on, if that is known.
pub(super) fn cycle(
    run: &[Span],
    idle_from: Option<Seconds>,
    until: Seconds,
    scaled: &ScaledTrace,
    inferred: &Inferred,
) -> Cycle {
    let trace = &*scaled.original;
    let (start, end) = (run[0].start, run[run.len() - 1].end);
    // Only shortly before it: earlier, an unseen run may have been heard.
    let idle = |from: Seconds| idle_noise(&inferred.spans, from.max(start - RUNS_APART.get()), start, trace);
    Cycle {
        intervals: intervals(run, trace),
        cut_at_start: start.0 < trace.resolution.0 || hides_start(trace, start),
        cut_at_end: end + RESTS_WITHIN.get() > trace.duration() || hides_end(trace, end, in_water(run)),
        seen: Seen::Current,
        resolution: trace.resolution,
        idle_supply_noise: idle_from.and_then(idle),
        record: Arc::new(Record::of(start, end, until, scaled, *inferred.levels.at(start))),
    }
}

/// Whether damage of the log, or a hole in it, hides how a cycle began, and how it ended.
#[must_use]
pub fn hidden_ends(cycle: &Cycle, trace: &Trace) -> [bool; 2] {
    [
        cycle.cut_at_start && hides_start(trace, cycle.start()),
        cycle.cut_at_end && hides_end(trace, cycle.end(), true),
    ]
}

/// Whether it is not known what came before a run that begins there.
fn hides_start(trace: &Trace, start: Seconds) -> bool {
    let beside = hole(trace, (start, start), HIDES_A_DRAIN.get());
    let before = hole(trace, (start - LONGEST_GAP.get(), start), LONGEST_GAP.get());
    damaged(trace, start - RUNS_APART.get(), start) || beside || before
}

/// Whether it is not known what came after a run that ends there, with water in the tub or without. One that ends in water still has a drain to
/// come.
fn hides_end(trace: &Trace, end: Seconds, in_water: bool) -> bool {
    let drain = in_water && hole(trace, (end, end), HIDES_A_DRAIN.get());
    let more = hole(trace, (end, end + LONGEST_GAP.get()), LONGEST_GAP.get());
    damaged(trace, end, end + RUNS_APART.get()) || drain || more
}

/// Until when it is known what followed a run that ends there and whose next begins at `until`: no further than to a hole in the log.
pub(super) fn known_until(trace: &Trace, end: Seconds, until: Seconds) -> Seconds {
    let holes = trace.gaps().filter(|(start, end)| may_hide(*end - *start)).map(|(start, _)| start);
    holes.filter(|start| *start >= end).fold(until, Seconds::min)
}

/// Whether readings are missing somewhere in `from..to` for longer than this. Beside those among which a drain and a fill may be, who stood still for
/// less than that may only have paused.
fn hole(trace: &Trace, (from, to): (Seconds, Seconds), longer: Seconds) -> bool {
    let beside = |&(start, end): &(Seconds, Seconds)| {
        start.0 <= to.0 + DAMAGE_BESIDE.get() && end.0 >= from.0 - DAMAGE_BESIDE.get()
    };
    trace.gaps().filter(|(start, end)| *end - *start > longer).any(|gap| beside(&gap))
}

/// Whether the log is damaged somewhere in `from..to`: a run next to the damage may have gone on in it.
fn damaged(trace: &Trace, from: Seconds, to: Seconds) -> bool {
    trace
        .damaged
        .iter()
        .any(|&(start, end)| start.0 <= to.0 + DAMAGE_BESIDE.get() && end.0 >= from.0 - DAMAGE_BESIDE.get())
}

/// Median level of the supply pickup in the idle time from `from` to `to`; none without pickups, or if the machine was idle for less than a
/// minute. A leaking valve is loud all the time, an unseen run only for a part of it.
fn idle_noise(spans: &[Span], from: Seconds, to: Seconds, trace: &Trace) -> Option<Noise> {
    let idle = spans.iter().filter(|s| s.state == State::Off && s.end > from && s.end <= to);
    let steps: Vec<_> = idle.flat_map(|s| trace.between(s.start.max(from), s.end)).collect();
    let levels = steps.iter().map(|s| Some((s.detail?.supply.0, s.duration().0)));
    let levels: Vec<(f64, f64)> = levels.collect::<Option<_>>()?;
    let time: f64 = levels.iter().map(|l| l.1).sum();
    weighted_median(levels.into_iter()).filter(|_| time >= IDLE_NOISE_FROM.get()).map(Noise)
}

/// The intervals of a run: its spans, the pauses and the gaps between them.
fn intervals(run: &[Span], trace: &Trace) -> Vec<Interval> {
    let mut named = name(run);
    place(&mut named, trace);
    let waters = waters(named.iter().map(|n| n.kind));
    let interval = |(named, water): (&Named, u32)| {
        let Named { kind, loads, start, end, certainty, states, edges } = *named;
        let measured = measure(kind, (start, end), edges, trace);
        Interval { kind, loads, start, end, certainty, states, water, measured }
    };
    named.iter().zip(waters).map(interval).collect()
}

fn name(run: &[Span]) -> Vec<Named> {
    let mut named: Vec<Named> = Vec::new();
    let (mut until, mut filled) = (run[0].start, false);
    for span in run {
        if span.start.0 - until.0 > ROUNDING.get() {
            named.push(Named {
                kind: Kind::Gap,
                loads: Loads::NONE,
                start: until,
                end: span.start,
                certainty: 0.0,
                states: Posterior::default(),
                edges: Edges::default(),
            });
        }
        until = span.end;
        // A purge tops up for seconds only; longer is a fill.
        let state = if fills_long(span) { State::Fill } else { span.state };
        filled = fills(state, filled);
        let (kind, loads) = (kind(state, filled), Span { state, ..*span }.loads());
        let (Span { start, end, states, .. }, certainty) = (*span, span.certainty());
        match named.last_mut() {
            // The halves of a purge; and neighbours that refinement has made alike.
            Some(last) if last.kind == kind && (kind == Kind::Purge || last.loads == loads) => {
                last.states = last.states.and(&states, ((last.end - last.start).0, (end - start).0));
                last.end = end;
                last.loads = last.loads.union(loads);
                last.certainty = last.certainty.min(certainty);
            }
            _ => named.push(Named { kind, loads, start, end, certainty, states, edges: Edges::default() }),
        }
    }
    named
}

/// Whether there is water in the tub after this state, if there was or not before it.
fn fills(state: State, before: bool) -> bool {
    match state {
        State::Fill | State::TopUp => true,
        state if state.drains() => false,
        _ => before,
    }
}

/// What the machine does. An element without the pump dries the air, but heats water where there is any.
fn kind(state: State, filled: bool) -> Kind {
    match state {
        State::DryHeat | State::PartDry if filled => Kind::Heat,
        State::Off => Kind::Pause,
        State::Fill => Kind::Fill,
        State::Drain | State::WashAndDrain | State::DrainAndFill => Kind::Drain,
        State::Wash | State::Dispense => Kind::Wash,
        State::Heat | State::PartHeat => Kind::Heat,
        State::Purge | State::TopUp => Kind::Purge,
        State::DryHeat | State::PartDry | State::Small => Kind::Dry,
        State::Inrush => Kind::Stall,
    }
}

/// The water of each interval: a new one begins with the first fill after a drain.
fn waters(kinds: impl Iterator<Item = Kind>) -> impl Iterator<Item = u32> {
    let (mut water, mut drained) = (1, false);
    kinds.map(move |kind| {
        match kind {
            Kind::Drain => drained = true,
            Kind::Fill if drained => (water, drained) = (water + 1, false),
            _ => {}
        }
        water
    })
}
