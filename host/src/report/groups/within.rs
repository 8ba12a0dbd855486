//! What is to be said within each group: what drifts, and which cycles are far from the others.

use super::super::words::moment;
use super::called::Called;
use super::wording::{chance, letter, name, signed, value};
use crate::compare::{Comparison, Drift, Odd};
use crate::text::harmless;

/// Cycles that are told of at most: those that are furthest from the others.
const TOLD: usize = 10;

/// What drifts within a group.
pub(super) fn drifts(of: &Comparison) -> Vec<String> {
    of.drifts.iter().map(|drift| drifting(of, drift)).collect()
}

fn drifting(of: &Comparison, drift: &Drift) -> String {
    let what = if of.exchanged == crate::compare::Exchanged::Cycles { "cycles" } else { "nights" };
    let machine = match of.machines[usize::from(drift.group)] {
        1 => String::new(),
        _ => format!(" (machine {})", drift.machine + 1),
    };
    format!(
        "{}{machine}: {}: {} over {} {what}, p {}",
        letter(drift.group),
        name(of, &drift.question),
        signed(drift.question.measure, drift.by),
        drift.over,
        chance(drift.of_any)
    )
}

/// The cycles that are far from the others of their group.
pub(super) fn odd(of: &Comparison, called: Called) -> Vec<String> {
    let mut told: Vec<String> = of.odd.iter().take(TOLD).map(|odd| far(of, odd, called)).collect();
    match of.odd.len().saturating_sub(TOLD) {
        0 => {}
        more => told.push(format!("and {more} more; --json has all")),
    }
    told
}

fn far(of: &Comparison, odd: &Odd, called: Called) -> String {
    let measure = odd.question.measure;
    let (file, time) = place(odd, called);
    let more = match odd.more {
        0 => String::new(),
        n => format!(", and far in {n} more"),
    };
    format!(
        "{}: {}, {time}: {} {}; middle {}{more}",
        letter(odd.group),
        harmless(&file),
        name(of, &odd.question),
        value(measure, odd.value),
        value(measure, odd.middle)
    )
}

/// The file of a cycle, and when it began.
pub(super) fn place(odd: &Odd, called: Called) -> (String, String) {
    called
        .logs
        .get(odd.log)
        .map_or_else(Default::default, |(path, trace)| (path.display().to_string(), moment(trace, odd.start)))
}
