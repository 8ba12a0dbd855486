//! Cycles: where a run of the machine begins and ends, and what its spans are called in it.

use tubtrace_units::{Load, Loads, Seconds};

use super::{Cycle, Interval, Kind, Measured, Seen};
use crate::loads::{APART, Span, State, median};
use crate::trace::{Noise, Trace};

/// A run may dry for this long before it drains a last time.
const LAST_DRAIN: Seconds = Seconds(2_700.0);

/// Washing for longer than this makes a run; a pump that stirs while it drains does not.
const A_RUN: Seconds = Seconds(60.0);

/// The parts of a purge are 5 s each; twice that is still one. Common practice, no source.
const PURGE_PART: Seconds = Seconds(10.0);

/// Gathers spans into cycles.
pub(super) fn gather(spans: &[Span], trace: &Trace) -> Vec<Cycle> {
    let mut groups: Vec<Vec<Span>> = Vec::new();
    for span in spans.iter().filter(|s| s.state != State::Off) {
        match groups.last_mut() {
            Some(group) if span.start - group[group.len() - 1].end <= APART => group.push(*span),
            _ => groups.push(vec![*span]),
        }
    }
    let mut runs: Vec<Vec<Span>> = Vec::new();
    for group in groups {
        let washes =
            group.iter().filter(|s| washes(s.state)).map(|s| s.end - s.start).sum::<Seconds>() > A_RUN;
        match runs.last_mut() {
            Some(run)
                if !washes && !begins(&group) && group[0].start - run[run.len() - 1].end <= LAST_DRAIN =>
            {
                run.extend(group)
            }
            // Something small on its own, hours from any run, is none; but who fills for minutes and then drains has begun.
            _ if !washes && !begins(&group) => {}
            _ => runs.push(group),
        }
    }
    let mut idle_from = Seconds(0.0);
    runs.iter()
        .map(|run| {
            let (start, end) = (run[0].start, run[run.len() - 1].end);
            // Long before it, a run that was not seen may have been heard.
            let idle_supply_noise = idle_noise(spans, idle_from.max(start - APART), start, trace);
            idle_from = end;
            Cycle {
                intervals: name(run, spans, trace),
                cut_at_start: start.0 < trace.resolution.0 || damaged(trace, start - APART, start),
                cut_at_end: end >= trace.duration() || damaged(trace, end, end + APART),
                seen: Seen::Current,
                idle_supply_noise,
                record: Default::default(),
            }
        })
        .collect()
}

/// Whether the log is damaged somewhere in `from..to`: a run beside it may have gone on there.
fn damaged(trace: &Trace, from: Seconds, to: Seconds) -> bool {
    trace.damaged.iter().any(|&(start, end)| start.0 <= to.0 + 0.05 && end.0 >= from.0 - 0.05)
}

/// Whether a machine tried to fill, gave up and drained.
fn begins(group: &[Span]) -> bool {
    let time = |wanted: &[State]| -> Seconds {
        group.iter().filter(|s| wanted.contains(&s.state)).map(|s| s.end - s.start).sum()
    };
    time(&[State::Fill, State::Small]) > A_RUN && time(&[State::Drain]) > Seconds(10.0)
}

fn washes(state: State) -> bool {
    state.loads().has(Load::WashPump) || matches!(state, State::DryHeat | State::PartDry)
}

/// Typical level of the supply pickup in the idle time from `from` to `to`. A machine that runs unseen is loud for a part of it
/// only; a valve that leaks, all the time.
fn idle_noise(spans: &[Span], from: Seconds, to: Seconds, trace: &Trace) -> Option<Noise> {
    let idle = spans.iter().filter(|s| s.state == State::Off && s.end > from && s.end <= to);
    let steps: Vec<_> = idle.flat_map(|s| trace.between(s.start.max(from), s.end)).collect();
    let levels = steps.iter().map(|s| Some((s.detail?.supply.0, s.duration().0)));
    let levels: Vec<(f64, f64)> = levels.collect::<Option<_>>()?;
    let time: f64 = levels.iter().map(|l| l.1).sum();
    median(levels.into_iter()).filter(|_| time >= 60.0).map(Noise)
}

/// The intervals of a run: its spans, the pauses and the gaps between them.
fn name(run: &[Span], all: &[Span], trace: &Trace) -> Vec<Interval> {
    let (start, end) = (run[0].start, run[run.len() - 1].end);
    let within: Vec<Span> = all.iter().filter(|s| s.end > start && s.start < end).copied().collect();
    let stirs = |s: &Span| s.end - s.start < A_RUN / 2.0;
    let last_wash =
        within.iter().rposition(|s| s.state.loads().has(Load::WashPump) && !stirs(s)).unwrap_or(0);
    let mut intervals: Vec<Interval> = Vec::new();
    let mut until = start;
    for (i, span) in within.iter().enumerate() {
        if span.start.0 - until.0 > 0.01 {
            intervals.push(interval(Kind::Gap, Loads::NONE, until, span.start, 0.0));
        }
        until = span.end;
        let (state, certainty) = in_order(span, i <= last_wash, &intervals, trace.has_pickups());
        let kind = kind(state);
        let next = interval(kind, Span { state, ..*span }.loads(), span.start, span.end, certainty);
        match intervals.last_mut() {
            // The halves of a purge; and neighbours that order has made alike.
            Some(last) if last.kind == kind && (kind == Kind::Purge || last.loads == next.loads) => {
                last.end = next.end;
                last.loads = last.loads.union(next.loads);
                last.certainty = last.certainty.min(certainty);
            }
            _ => intervals.push(next),
        }
    }
    number_waters(&mut intervals);
    intervals
}

fn interval(kind: Kind, loads: Loads, start: Seconds, end: Seconds, certainty: f64) -> Interval {
    Interval { kind, loads, start, end, certainty, water: 0, measured: Measured::default() }
}

/// What order says of a span whose level says too little. Without pickups a small load before the last wash lets
/// water in or out, and after it cannot let water in; which one it is stays uncertain.
fn in_order(span: &Span, before_last_wash: bool, before: &[Interval], pickups: bool) -> (State, f64) {
    let last = before.last();
    let unsure = span.certainty.min(0.5);
    let long = span.end - span.start > PURGE_PART * 2.0;
    match span.state {
        State::Small if before_last_wash && !pickups => (State::Fill, unsure),
        State::Fill if !before_last_wash && !pickups => match last {
            Some(last) if last.kind == Kind::Drain => (State::Drain, unsure),
            _ => (State::Small, unsure),
        },
        // A heater in the middle of the water without its pump would boil dry: the pump was only not seen.
        State::DryHeat if before_last_wash && in_water(before, pickups) => (State::Heat, span.certainty),
        State::PartDry if before_last_wash && in_water(before, pickups) => (State::PartHeat, span.certainty),
        // Topping up for long is no purge.
        State::TopUp if long => (State::Fill, span.certainty),
        state => (state, span.certainty),
    }
}

/// Whether water has come since it last left; where fills are not heard, in the middle of a run there is water.
fn in_water(before: &[Interval], pickups: bool) -> bool {
    let moves = |i: &&Interval| matches!(i.kind, Kind::Fill | Kind::Drain) && i.end - i.start > PURGE_PART;
    !pickups || before.iter().rev().find(moves).is_none_or(|i| i.kind == Kind::Fill)
}

fn kind(state: State) -> Kind {
    match state {
        State::Off => Kind::Pause,
        State::Fill => Kind::Fill,
        State::Drain | State::Flush | State::Sluice => Kind::Drain,
        State::Wash | State::Dispense => Kind::Wash,
        State::Heat | State::PartHeat => Kind::Heat,
        State::Purge | State::TopUp => Kind::Purge,
        State::DryHeat | State::PartDry | State::Small => Kind::Dry,
        State::Surge => Kind::Stall,
    }
}

/// A new water begins with the first fill after a drain.
fn number_waters(intervals: &mut [Interval]) {
    let (mut water, mut drained) = (1, false);
    for interval in intervals {
        match interval.kind {
            Kind::Drain => drained = true,
            Kind::Fill if drained => (water, drained) = (water + 1, false),
            _ => {}
        }
        interval.water = water;
    }
}
