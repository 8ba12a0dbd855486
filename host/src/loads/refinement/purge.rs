//! Purges where nothing is heard: while the wash pump runs, drain pump and valve are on for some seconds, then the valve alone. With pickups
//! these are states of the model; without, their two steps are looked for within washing.

use std::ops::Range;

use tubtrace_units::Seconds;

use super::pass::{Evidence, Pass, Reading};
use super::seconds::{edge, seconds};
use crate::loads::constants::steps::{
    PURGE_BOTH_LEAST, PURGE_BOTH_MOST, PURGE_HALF_LONGEST, PURGE_HALF_SHORTEST, PURGE_MARGIN,
    PURGE_STANDS_OUT, PURGE_STEADY, PURGE_VALVE_LEAST, PURGE_VALVE_MOST, PURGE_VALVE_PART, PURGES,
};
use crate::loads::signatures::Signatures;
use crate::loads::span::Span;
use crate::loads::state::State;
use crate::stats::weighted_median;
use crate::trace::Trace;

pub(super) const PASS: Pass = Pass {
    name: "purge",
    unknown: "without pickups, that a step of some seconds in washing is drain pump and valve: a purge is a state only where it is heard",
    refine: purge,
};

/// Splits washing where it purges.
fn purge(reading: &mut Reading, evidence: &Evidence) {
    if evidence.trace.has_pickups() {
        return;
    }
    let mut split = Vec::with_capacity(reading.spans.len());
    for &span in &reading.spans {
        let mut from = span.start;
        if span.state == State::Wash {
            for [start, middle, end] in purges(&span, evidence.trace, evidence.levels.at(span.start)) {
                let part =
                    |state, start, end| Span { start, end, ..span.named(state, State::Wash, PURGES.get()) };
                split.push(Span { start: from, end: start, ..span });
                split.push(part(State::Purge, start, middle));
                split.push(part(State::TopUp, middle, end));
                from = end;
            }
        }
        if span.end > from {
            split.push(Span { start: from, ..span });
        }
    }
    reading.spans = split;
}

/// Beginning, middle and end of each purge in a span of washing.
fn purges(span: &Span, trace: &Trace, signatures: &Signatures) -> Vec<[Seconds; 3]> {
    let power = seconds(span, trace);
    let Some(base) = weighted_median(power.iter().filter(|p| p.is_finite()).map(|p| (*p, 1.0))) else {
        return Vec::new();
    };
    let both = signatures.drain.0 + signatures.fill.0;
    if both < PURGE_STANDS_OUT.get() * signatures.wash.0 {
        return Vec::new();
    }
    let is = |p: f64, of: f64, range: &Range<f64>| range.contains(&((p - base) / of));
    let as_ever = |range: Range<usize>| {
        let beside = power.get(range).unwrap_or_default();
        beside.len() == PURGE_MARGIN.get()
            && beside.iter().all(|p| {
                (p - base).abs() < PURGE_STEADY.get() * signatures.fill.0.max(PURGE_VALVE_PART.get() * both)
            })
    };
    let run = |from: usize, of: f64, range: &Range<f64>| {
        power[from..].iter().take_while(|p| is(**p, of, range)).count()
    };
    let at = |second: usize| span.start + Seconds(second as f64);
    let half = PURGE_HALF_SHORTEST.get()..=PURGE_HALF_LONGEST.get();
    let both_stands = PURGE_BOTH_LEAST.get()..PURGE_BOTH_MOST.get();
    let valve_stands = PURGE_VALVE_LEAST.get()..PURGE_VALVE_MOST.get();
    let mut found = Vec::new();
    let mut second = PURGE_MARGIN.get() + 1;
    while second < power.len() {
        let first = run(second, both, &both_stands);
        // The second in which the drain pump goes off has a power between both steps.
        let valve_from = second
            + first
            + usize::from(
                second + first < power.len() && !is(power[second + first], signatures.fill.0, &valve_stands),
            );
        let rest = power.get(valve_from).map_or(0, |_| run(valve_from, signatures.fill.0, &valve_stands));
        let end = valve_from + rest;
        if half.contains(&first)
            && half.contains(&rest)
            && as_ever(second - PURGE_MARGIN.get() - 1..second - 1)
            && as_ever(end + 1..end + 1 + PURGE_MARGIN.get())
        {
            let middle = base + 0.5 * (both + signatures.fill.0);
            found.push([
                edge(trace, at(second), base, both),
                edge(trace, at(second + first), middle - 0.5 * both, both),
                edge(trace, at(end), base, signatures.fill.0),
            ]);
            second = end;
        }
        second += 1;
    }
    found.retain(|[a, b, c]| a < b && b < c);
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{DRAIN, FILL, STANDBY, WASH, heard, pass, spans, told, trace};

    const WASHING: f64 = STANDBY + WASH;
    const READINGS: [(u32, f64); 4] =
        [(50, WASHING), (5, WASHING + DRAIN + FILL), (5, WASHING + FILL), (60, WASHING)];

    #[test]
    fn drain_pump_and_valve_then_the_valve_is_a_purge() {
        let split = pass("purge", spans(&[(State::Wash, 120.0)]), &trace(&READINGS)).spans;
        let expected = [(State::Wash, 50.0), (State::Purge, 5.0), (State::TopUp, 5.0), (State::Wash, 60.0)];
        assert_eq!(told(&split), expected);
    }

    #[test]
    fn where_pickups_heard_no_purge_there_is_none() {
        let washing = spans(&[(State::Wash, 120.0)]);
        assert_eq!(pass("purge", washing.clone(), &heard(&READINGS, &[])).spans, washing);
    }

    #[test]
    fn a_step_of_another_height_is_none() {
        let readings = [(50, WASHING), (10, WASHING + 2.0 * (DRAIN + FILL)), (60, WASHING)];
        assert_eq!(pass("purge", spans(&[(State::Wash, 120.0)]), &trace(&readings)).spans.len(), 1);
    }
}
