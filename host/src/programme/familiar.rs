//! How much more probable a cycle is as one of a programme of the machine, with whatever is wrong with it, than as one of a programme that
//! nobody knows.
//!
//! A programme that nobody knows is made of intervals of any kind and length, or of such as the machine's other programmes have: a control
//! fills and drains alike whatever it washes. An interval that the programme foresees speaks for it, the more the fewer others of the
//! machine are like it; what is missing, comes unasked or lasts too long speaks against it by its cost in the alignment.

use std::collections::BTreeSet;

use super::constants::NEVER_HEATS;
use super::density::{density, unknown};
use crate::alignment::{Explanation, Hypothesis, MISSING, Step, break_off, lasted, stand_in};
use crate::chart::{Chart, Expected, Machine};
use crate::intervals::Kind;

/// By how many nats the cycle is more probable as it is explained than as one of a programme that is all its own.
pub(super) fn foreseen(machine: &Machine, chart: &Chart, explanation: &Explanation) -> f64 {
    let foreseen: f64 =
        explanation.steps.iter().map(|step| foreseen_by(machine, chart, explanation, step)).sum();
    foreseen - explanation.cost
        + broken_anyway(explanation)
        + once_for_all(chart, explanation)
        + cold(machine, explanation)
}

/// On a machine whose programmes all heat, one that nobody knows does as well, as a rule: a cycle without heat is rather one of those.
fn cold(machine: &Machine, explanation: &Explanation) -> f64 {
    let all_heat = machine.programmes.iter().all(|chart| chart.must_come().any(|i| i.kind == Kind::Heat));
    let none_here = explanation.phases.iter().all(|a| a.kind != Kind::Heat);
    if all_heat && none_here { -NEVER_HEATS.get().ln() } else { 0.0 }
}

/// What is wrong again and again has one cause: an element that is dead in the first hold is dead in the next, and a tub that does not
/// empty asks for no water, fill after fill. Gives back what each cost after the first.
fn once_for_all(chart: &Chart, explanation: &Explanation) -> f64 {
    let mut seen = BTreeSet::new();
    let wrong = explanation.steps.iter().flat_map(|step| wrong(chart, explanation, step));
    wrong.filter(|(what, _)| !seen.insert(*what)).map(|(_, cost)| cost).sum()
}

/// What a step has wrong, by the kind that is expected and the one that is seen instead, if any is, with its cost.
fn wrong(
    chart: &Chart,
    explanation: &Explanation,
    step: &Step,
) -> Vec<((&'static str, Option<&'static str>), f64)> {
    if let Step::Missing { place, .. } = step {
        let expected = &chart.parts[place.part].intervals[place.interval];
        // A part that is left out as a whole is one thing already.
        let must = !expected.may && !explanation.leaves_out(chart, *place);
        return must.then(|| ((expected.kind.word(), None), MISSING.get())).into_iter().collect();
    }
    let Some((place, count, range)) = step.covers() else { return Vec::new() };
    let phases = &explanation.phases[range];
    let expected = chart.parts[place.part].intervals.iter().skip(place.interval).take(count);
    let cold = expected.filter(|e| phases.iter().all(|a| a.kind != e.kind));
    let stands_in = |e: &Expected| {
        let seen = phases.first()?.kind;
        Some(((e.kind.word(), Some(seen.word())), stand_in(e.kind, seen)?))
    };
    cold.filter_map(stands_in).collect()
}

/// A cycle that ends in the middle of a water has broken off, whatever its programme.
fn broken_anyway(explanation: &Explanation) -> f64 {
    match explanation.phases.last() {
        Some(last) if explanation.hypothesis == Hypothesis::BrokeOff && in_water(last.kind) => {
            break_off(std::slice::from_ref(last))
        }
        _ => 0.0,
    }
}

fn in_water(kind: Kind) -> bool {
    matches!(kind, Kind::Fill | Kind::Wash | Kind::Heat)
}

/// By how many nats what a step of the explanation says is more probable in the programme than in one that nobody knows.
fn foreseen_by(machine: &Machine, chart: &Chart, explanation: &Explanation, step: &Step) -> f64 {
    let Some((place, count, range)) = step.covers() else { return 0.0 };
    let phases = &explanation.phases[range];
    let part = &chart.parts[place.part];
    let expected = &part.intervals[place.interval];
    let (lasts, _) = lasted(expected.kind, phases);
    let (here, kind) = if count > 1 {
        // Washing and holds that nothing parts, for none is heated: as long as all of them.
        let all = part.intervals.iter().skip(place.interval).take(count).map(|e| e.lasts);
        let lasts_all = all.reduce(|a, b| Some(a? + b?)).flatten();
        (density(&Expected { lasts: lasts_all, ..expected.clone() }, lasts), Kind::Wash)
    } else if phases.iter().all(|a| a.kind != expected.kind) {
        return 0.0;
    } else {
        (density(expected, lasts), expected.kind)
    };
    here.map_or(0.0, |here| (here / unknown(machine, kind, lasts)).ln().max(0.0))
}
