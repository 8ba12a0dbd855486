//! Findings in words, the same on every page.

use super::units::Units;
use super::words::{clock_time, harmless};
use crate::findings::{Departure, Finding, Quantity};
use crate::intervals::Cycle;
use crate::trace::Trace;

/// What is said of a cycle that may be no example of the chart at all.
pub(super) const FOREIGN: &str = "This cycle fits the chart so poorly that it may be another programme or another machine; compare before \
     anything is opened.";

/// How far a verdict of "within" reaches.
pub(super) const fn as_far(cycle: &Cycle) -> &'static str {
    match (cycle.cut_at_start, cycle.cut_at_end) {
        (false, false) => "",
        (true, _) => ", as far as seen: it begins before the log",
        (false, true) => ", as far as seen: it ends after the log",
    }
}

/// Findings of one kind about one kind of interval are told once.
pub(super) fn groups(findings: &[Finding]) -> Vec<Vec<&Finding>> {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    for finding in findings {
        let same = |g: &&mut Vec<&Finding>| g[0].departure == finding.departure && g[0].does == finding.does;
        match groups.iter_mut().find(same) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    groups
}

/// Where else.
pub(super) fn likewise(group: &[&Finding]) -> Option<String> {
    let (first, others) = group.split_first()?;
    match others.len() {
        0 => None,
        1 if others[0].interval == first.interval => Some("And once more.".into()),
        n if others.iter().all(|o| o.interval == first.interval) => Some(format!("And {n} times more.")),
        _ => {
            let names: Vec<String> = others.iter().map(|f| harmless(&f.interval)).collect();
            Some(format!("Likewise: {}.", names.join(", ")))
        }
    }
}

/// What departs, in a few words.
pub(super) fn headline(f: &Finding) -> String {
    let name = harmless(&f.interval);
    match f.departure {
        Departure::LogEnds => "the log ends in the middle: the logger's battery is empty".into(),
        Departure::CurrentFaint => {
            "water is heard through a whole run, and hardly any current is seen".into()
        }
        Departure::CurrentNever => "water is heard through a whole run, and no current is seen".into(),
        Departure::OutOfScale => "everything draws several times what it does in the other runs".into(),
        Departure::Clips => "the current is at the end of the clamp's range".into(),
        Departure::CurrentGone => "water is heard, and no current is seen".into(),
        Departure::SupplyDeaf => "it fills, and nothing is heard in the supply line".into(),
        Departure::DrainDeaf => "it drains, and nothing is heard in the hose".into(),
        Departure::ClipOpen => format!("{name}: reads nothing"),
        Departure::ClipStill => format!("{name}: does not follow the water"),
        Departure::NoSupplyFlow => "the fill valve is on, and no water is heard".into(),
        Departure::PumpSilent => "water has come, and the wash pump does not run".into(),
        Departure::NeverDrains => "it washes, and never drains".into(),
        Departure::DrainStaysOn => "the drain pump does not stop".into(),
        Departure::MainsLow => "the mains is low for a while".into(),
        Departure::Dips => "everything stops for a moment, and goes on".into(),
        Departure::DropsOut => "the wash pump stops again and again".into(),
        Departure::Opened => "everything stops in the middle, and goes on".into(),
        Departure::Chatters => "the wash pump goes off and on as it starts".into(),
        Departure::SlowStart => "the wash pump takes long to come up to speed".into(),
        Departure::StaysOn => format!("{name}: stays on where it should not be"),
        Departure::DispensesLess => "the dispenser is not on when it should be".into(),
        Departure::Hammers => "the inlet valve shuts with a blow".into(),
        Departure::Siphons => "water leaves with the drain pump off".into(),
        Departure::FlowsBack => "water is heard in the hose after a drain".into(),
        Departure::EmptiesLate => "water is heard to the end of the drain".into(),
        Departure::HeatCycles => "the heater goes off and on within a hold".into(),
        Departure::HeatAtEnd => "the heater is on at the very end".into(),
        Departure::Unsteady => "the wash pump's power wanders".into(),
        Departure::BeganAgain => "broke off and began again".into(),
        Departure::BrokeOff => "broke off and did not go on".into(),
        Departure::PumpStalls => "the wash pump starts and does not run".into(),
        Departure::NoDrainFlow => format!("{name}: pump runs, no water is heard"),
        Departure::FlowWhenOff => "water is heard with the valve off".into(),
        Departure::SupplyCold => format!("{name}: supply water is cold"),
        Departure::SupplyHot => format!("{name}: supply water is too hot"),
        Departure::InflowLow => "less water comes in a minute than heat balance shows as a rule".into(),
        Departure::InflowHigh => "more water comes in a minute than heat balance shows as a rule".into(),
        Departure::NoHeat => format!("{name}: no heat"),
        Departure::CurrentLow => format!("{name}: draws too little"),
        Departure::CurrentHigh => format!("{name}: draws too much"),
        Departure::HoldNotReached => format!("{name}: never warm enough"),
        Departure::NeverPurged => format!("{name}: never purges"),
        Departure::PurgedTooOften => format!("{name}: purges too often"),
        Departure::TooLong => format!("{name}: takes too long"),
        Departure::LeftOut => format!("{name}: all of it is missing"),
        Departure::Missing => format!("{name}: missing"),
        Departure::TooShort => format!("{name}: too short"),
        Departure::Extra => format!("{name}: not in the chart"),
    }
}

/// The same with its numbers.
pub(super) fn sentence(f: &Finding, units: Units) -> String {
    let expected = expected(f, units);
    let measured = units.quantity(f.measured);
    let head = capitalised(&headline(f));
    match f.departure {
        Departure::BeganAgain | Departure::BrokeOff | Departure::LeftOut | Departure::Missing => {
            format!("{head}.")
        }
        Departure::NoHeat => format!("{head}: the heater draws nothing."),
        Departure::PumpStalls => format!("{head}: {measured}."),
        Departure::NeverPurged => format!("{head}; the chart has it {expected}."),
        Departure::Extra | Departure::LogEnds | Departure::CurrentGone => format!("{head}: {measured}."),
        // What should never be needs no limit.
        _ if f.expected.1 == Some(Quantity::Count(0)) => format!("{head}: {measured}."),
        _ => format!("{head}: {measured}, chart {expected}."),
    }
}

/// When it was and, of what is measured and not counted, how well that is known.
pub(super) fn when(f: &Finding, trace: &Trace, units: Units) -> String {
    let at = clock_time(trace, f.start);
    match f.uncertainty {
        Quantity::Count(_) => at,
        doubt => format!("{at}, measured to within {}", units.doubt(doubt)),
    }
}

/// What the chart has.
pub(super) fn expected(f: &Finding, units: Units) -> String {
    let of = |q| units.quantity(q);
    match f.expected {
        (Some(low), Some(high)) if low == high => of(low),
        (Some(low), Some(high)) => format!("{} to {}", of(low), of(high)),
        (Some(low), None) => format!("at least {}", of(low)),
        (None, Some(high)) => format!("at most {}", of(high)),
        (None, None) => "no limit".into(),
    }
}

pub(super) fn capitalised(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

pub(super) fn sure(certainty: f64) -> &'static str {
    if certainty >= 0.95 {
        ""
    } else if certainty >= 0.8 {
        " (likely)"
    } else {
        " (perhaps: the loads cannot be told with certainty)"
    }
}
