//! How often purges come within a wash.

use std::ops::Add;

use super::check::{Check, Harm, Headline, Numbers};
use super::context::Context;
use super::event::Event;
use super::outside::{Outside, both};
use crate::alignment::{Phase, Place, Step};
use crate::chart::Limits;
use crate::chart::numbers::MOST_PURGES;
use crate::intervals::Kind;
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 2] = [&NEVER_PURGED, &PURGED_TOO_OFTEN];

/// The machine should purge, and never does.
static NEVER_PURGED: Check = Check {
    id: "never-purged",
    rank: 430,
    hold: |context| {
        // What may be left out may be short, and then there is no time for a purge.
        purges(context, &NEVER_PURGED, |purges, limits, may| purges == 0 && limits.low > 0 && !may)
    },
    widen: |chart, outside| outside.interval_of(chart).map(|i| i.purges.low = 0).is_some(),
    event: Event::Shortest,
    headline: Headline::Of("never purges"),
    numbers: Numbers::Chart,
    ..Check::PLAIN
};

/// It purges more often than the chart allows.
static PURGED_TOO_OFTEN: Check = Check {
    id: "purged-too-often",
    rank: 440,
    hold: |context| purges(context, &PURGED_TOO_OFTEN, |purges, limits, _| purges > limits.high),
    widen: |chart, outside| {
        let often = outside.measured.number() as u32;
        let interval = outside.interval_of(chart).filter(|_| often <= MOST_PURGES);
        interval.map(|i| i.purges.high = i.purges.high.max(often)).is_some()
    },
    event: Event::Shortest,
    headline: Headline::Of("more purges than expected"),
    harm: Harm::Little,
    ..Check::PLAIN
};

/// Intervals of the chart whose purges are outside, by how often they came, how often they may, and whether the interval may be
/// left out. Purges are told by the sound of water: without pickups there is nothing to say of them.
fn purges(
    context: &Context,
    check: &'static Check,
    outside: fn(u32, Limits<u32>, bool) -> bool,
) -> Vec<Outside> {
    if !context.hears_flow() {
        return Vec::new();
    }
    let departs = |(place, phases, limits): (Place, &[Phase], Limits<u32>)| {
        let purges = phases.iter().filter(|a| a.kind == Kind::Purge).count() as u32;
        if !outside(purges, limits, context.expected(place).may) {
            return None;
        }
        // What a log cuts may have purged, or was going to.
        if purges < limits.low && context.cycle.cuts(phases[0].start, phases[phases.len() - 1].end) {
            return None;
        }
        let (measured, doubt) = (Quantity::Count(purges), Quantity::Count(0));
        let outside = check.outside(phases[0].start, measured, both(limits, Quantity::Count), doubt);
        Some(outside.at(context, place))
    };
    let matched = context.matched().map(|(place, expected, phases)| (place, phases, expected.purges));
    matched.chain(unheated(context)).filter_map(departs).collect()
}

/// Washing without heat keeps its purges all the same: as many as all of the intervals that it stands for.
fn unheated<'a>(context: &Context<'a>) -> impl Iterator<Item = (Place, &'a [Phase], Limits<u32>)> {
    context.explanation.steps.iter().filter_map(|step| {
        let Step::Unheated { place, count, phases } = step else { return None };
        let places = (0..*count).map(|i| Place { interval: place.interval + i, ..*place });
        let limits = places.map(|p| context.expected(p).purges);
        let all = limits.fold(Limits { low: 0, high: 0 }, Limits::add);
        Some((*place, &context.explanation.phases[phases.clone()], all))
    })
}
