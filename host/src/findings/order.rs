//! What came, and what did not.

use tubtrace_units::Seconds;

use super::heat;
use super::{Band, Case, Departure, Finding, Measurement, Quantity, finding};
use crate::alignment::{Act, Place, Step, Story, unseen};
use crate::intervals::Kind;

/// Pauses and blinks shorter than this are nobody's business.
const WORTH_TELLING: Seconds = Seconds(10.0);

/// A locked pump's protector opens within so long, and stays open for longer. Common practice, no source.
const A_TRY: Seconds = Seconds(15.0);

/// Tries that make a pump that does not start.
const TRIES: usize = 3;

/// A pause that is worth telling.
const LONG_PAUSE: Seconds = Seconds(120.0);

pub(super) fn look(case: &Case, findings: &mut Vec<Finding>) {
    let acts = &case.explanation.acts;
    if let Some(at) = case.explanation.began_again() {
        findings.push(begins_again(&acts[at]));
    }
    let whole = left_out_whole(case);
    for step in &case.explanation.steps {
        match step {
            Step::Missing { place, before } if whole.contains(&(place.part, place.copy)) => {
                // Told once, at its first interval.
                let first = place.interval == 0;
                findings.extend(first.then(|| left_out(case, *place, *before)));
            }
            Step::Missing { place, .. }
                if case.expected(*place).kind == Kind::Heat && heat::was_warm(case, *place) => {}
            Step::Missing { place, before }
                if !case.expected(*place).may && !unseen(case.expected(*place), acts, *before) =>
            {
                findings.push(missing(case, *place, *before));
            }
            Step::Extra { act } if worth_telling(case, *act) => {
                let act = &acts[*act];
                findings.push(extra(case, act));
            }
            _ => {}
        }
    }
    if case.explanation.story == Story::BrokeOff
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

/// Something that is in no chart, for long enough to be something: about as long as a blink, it cannot be told from one.
fn extra(case: &Case, act: &Act) -> Finding {
    let none = Quantity::Time(Seconds(0.0));
    let doubt = case.surroundings.resolution * 2.0;
    let band = if act.duration() > WORTH_TELLING + doubt { Band::Beyond } else { Band::Guard };
    let measurement = Measurement {
        measured: Quantity::Time(act.duration()),
        expected: (Some(none), Some(none)),
        uncertainty: Quantity::Time(doubt),
        certainty: case.certainty(std::slice::from_ref(act)),
        band,
    };
    finding(Departure::Extra, act.kind.to_string(), act.kind, act.start, measurement)
}

/// When what is missing should have come: where the act before which it is missing begins, or else the last.
fn start_of(case: &Case, before: usize) -> Seconds {
    let acts = &case.explanation.acts;
    acts.get(before).or(acts.last()).map_or(Seconds(0.0), |a| a.start)
}

/// An interval that must come and did not. One that may be as short as a blink may have come and not been seen.
fn missing(case: &Case, place: Place, before: usize) -> Finding {
    let certainty =
        case.explanation.acts.get(before).map_or(0.9, |a| case.certainty(std::slice::from_ref(a)));
    let blinks = case.expected(place).lasts.is_some_and(|l| l.low < WORTH_TELLING);
    let band = if blinks { Band::Guard } else { Band::Beyond };
    case.finding(
        Departure::Missing,
        place,
        start_of(case, before),
        Measurement { band, ..count(0, 1, certainty) },
    )
}

fn count(measured: u32, expected: u32, certainty: f64) -> Measurement {
    Measurement {
        measured: Quantity::Count(measured),
        expected: (Some(Quantity::Count(expected)), Some(Quantity::Count(expected))),
        uncertainty: Quantity::Count(0),
        certainty,
        band: Band::Beyond,
    }
}

/// Parts that must come, as (part, copy), of which nothing came.
fn left_out_whole(case: &Case) -> Vec<(usize, u32)> {
    let steps = &case.explanation.steps;
    let missing = |p: &Place| steps.iter().any(|s| matches!(s, Step::Missing { place, .. } if place == p));
    let mut parts = Vec::new();
    for (part, expected) in case.chart.parts.iter().enumerate() {
        // One interval that is missing is told by its own name.
        let several = expected.intervals.len() > 2;
        for copy in (0..expected.times.low).filter(|_| several) {
            let places = (0..expected.intervals.len()).map(|interval| Place { part, copy, interval });
            if places.clone().all(|p| missing(&p)) {
                parts.push((part, copy));
            }
        }
    }
    parts
}

fn left_out(case: &Case, place: Place, before: usize) -> Finding {
    let name = case.chart.parts[place.part].name.clone();
    finding(Departure::LeftOut, name, Kind::Fill, start_of(case, before), count(0, 1, 0.95))
}

fn begins_again(pause: &Act) -> Finding {
    finding(Departure::BeganAgain, pause.kind.to_string(), Kind::Pause, pause.start, count(1, 0, 0.99))
}

fn worth_telling(case: &Case, act: usize) -> bool {
    let acts = &case.explanation.acts;
    // What comes between a break and the new start belongs to the break.
    let after_break = case.explanation.began_again().is_some_and(|at| act == at || act == at + 1);
    match acts[act].kind {
        // Stalls are told together, below.
        Kind::Gap | Kind::Stall => false,
        Kind::Pause => acts[act].duration() >= LONG_PAUSE && !after_break && act + 1 < acts.len(),
        _ => acts[act].duration() >= WORTH_TELLING && !after_break,
    }
}

/// A pump that stalls does so again and again: several times its current, or runs of seconds between pauses. Once or
/// twice may be anything.
fn stalls(case: &Case, findings: &mut Vec<Finding>) {
    let acts = &case.explanation.acts;
    let rests = |i: Option<usize>| {
        i.and_then(|i| acts.get(i)).is_some_and(|a| a.kind == Kind::Pause && a.duration() > A_TRY)
    };
    let tries = |(i, a): &(usize, &Act)| {
        let brief =
            a.kind == Kind::Wash && a.duration() < A_TRY && rests(Some(i + 1)) && rests(i.checked_sub(1));
        a.kind == Kind::Stall || brief
    };
    let tries: Vec<&Act> = acts.iter().enumerate().filter(tries).map(|(_, a)| a).collect();
    if let Some(first) = tries.first().filter(|_| tries.len() >= TRIES) {
        let measurement = count(tries.len() as u32, 0, case.certainty(std::slice::from_ref(first)));
        findings.push(finding(
            Departure::PumpStalls,
            "wash pump".into(),
            Kind::Wash,
            first.start,
            measurement,
        ));
    }
}
