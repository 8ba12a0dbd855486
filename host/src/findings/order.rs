//! What came, and what did not.

use tubtrace_units::Seconds;

use super::{Case, Departure, Finding, Measurement, Quantity, finding};
use crate::alignment::{Act, Step, unseen};
use crate::intervals::Kind;

/// Pauses and blinks shorter than this are nobody's business.
const WORTH_TELLING: Seconds = Seconds(10.0);

/// A pause that is worth telling.
const LONG_PAUSE: Seconds = Seconds(120.0);

pub(super) fn look(case: &Case, findings: &mut Vec<Finding>) {
    let acts = &case.explanation.acts;
    if let Some(at) = case.explanation.began_again {
        findings.push(begins_again(&acts[at]));
    }
    let broke_off = broke_off(case);
    for (i, step) in case.explanation.steps.iter().enumerate() {
        match step {
            Step::Missing { .. } if broke_off.is_some_and(|from| i >= from) => {}
            Step::Missing { place, before }
                if !case.expected(*place).may && !unseen(case.expected(*place), acts, *before) =>
            {
                let start = acts.get(*before).or(acts.last()).map_or(Seconds(0.0), |a| a.start);
                let certainty = acts.get(*before).map_or(0.9, |a| case.certainty(std::slice::from_ref(a)));
                findings.push(case.finding(Departure::Missing, *place, start, count(0, 1, certainty)));
            }
            Step::Extra { act } if worth_telling(case, *act) => {
                let act = &acts[*act];
                let certainty = case.certainty(std::slice::from_ref(act));
                let departure =
                    if act.kind == Kind::Stall { Departure::PumpStalls } else { Departure::Extra };
                let zero = Quantity::Time(Seconds(0.0));
                let measurement = Measurement {
                    measured: Quantity::Time(act.duration()),
                    expected: (Some(zero), Some(zero)),
                    uncertainty: Quantity::Time(case.surroundings.resolution * 2.0),
                    certainty,
                };
                findings.push(finding(departure, act.kind.to_string(), act.kind, act.start, measurement));
            }
            _ => {}
        }
    }
    if broke_off.is_some()
        && let Some(last) = acts.last()
    {
        findings.push(finding(
            Departure::BrokeOff,
            last.kind.to_string(),
            last.kind,
            last.end,
            count(1, 0, 0.95),
        ));
    }
    stalls(case, findings);
}

fn count(measured: u32, expected: u32, certainty: f64) -> Measurement {
    Measurement {
        measured: Quantity::Count(measured),
        expected: (Some(Quantity::Count(expected)), Some(Quantity::Count(expected))),
        uncertainty: Quantity::Count(0),
        certainty,
    }
}

fn begins_again(pause: &Act) -> Finding {
    finding(Departure::BeganAgain, pause.kind.to_string(), Kind::Pause, pause.start, count(1, 0, 0.99))
}

/// The step from which on all that must come is missing, if that is at least three intervals: the programme broke off.
fn broke_off(case: &Case) -> Option<usize> {
    let steps = &case.explanation.steps;
    let from = steps.iter().rposition(|s| matches!(s, Step::Matched { .. } | Step::Unheated { .. }))? + 1;
    let missing = steps[from..]
        .iter()
        .filter(|s| matches!(s, Step::Missing { place, .. } if !case.expected(*place).may))
        .count();
    (missing >= 3 && !case.cycle.cut_at_end).then_some(from)
}

fn worth_telling(case: &Case, act: usize) -> bool {
    let acts = &case.explanation.acts;
    // What comes between a break and the new start belongs to the break.
    let after_break = case.explanation.began_again.is_some_and(|at| act == at || act == at + 1);
    match acts[act].kind {
        Kind::Gap => false,
        Kind::Pause => acts[act].duration() >= LONG_PAUSE && !after_break && act + 1 < acts.len(),
        Kind::Stall => false,
        _ => acts[act].duration() >= WORTH_TELLING && !after_break,
    }
}

/// A pump that stalls does so again and again; once may be anything.
fn stalls(case: &Case, findings: &mut Vec<Finding>) {
    let stalls: Vec<&Act> = case.explanation.acts.iter().filter(|a| a.kind == Kind::Stall).collect();
    let Some(first) = stalls.first() else { return };
    let washed: Seconds = case
        .explanation
        .acts
        .iter()
        .filter(|a| matches!(a.kind, Kind::Wash | Kind::Heat))
        .map(Act::duration)
        .sum();
    let stalled: Seconds = stalls.iter().map(|a| a.duration()).sum();
    if stalls.len() >= 2 || washed < stalled * 10.0 {
        let measurement = count(stalls.len() as u32, 0, case.certainty(std::slice::from_ref(first)));
        findings.push(finding(
            Departure::PumpStalls,
            "wash pump".into(),
            Kind::Wash,
            first.start,
            measurement,
        ));
    }
}
