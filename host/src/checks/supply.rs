//! The house's water: how warm it comes.

use tubtrace_units::Celsius;

use super::check::{Check, Harm, Headline};
use super::context::Context;
use super::outside::{Outside, both};
use super::uncertainty::{Conformity, decide};
use crate::chart::numbers::WARMEST;
use crate::intervals::Kind;
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 2] = [&SUPPLY_COLD, &SUPPLY_HOT];

/// Supply water is colder than it should be.
static SUPPLY_COLD: Check = Check {
    id: "supply-cold",
    does: Kind::Fill,
    rank: 350,
    hold: |context| temperatures(context, &SUPPLY_COLD, |found| matches!(found, Conformity::Below(_))),
    widen: |chart, outside| {
        let low = Celsius(outside.down(1));
        let supply = outside.interval_of(chart).and_then(|i| i.supply.as_mut()).filter(|_| low.0 >= 0.0);
        supply.map(|l| l.low = l.low.min(low)).is_some()
    },
    headline: Headline::Of("supply water is cold"),
    ..Check::PLAIN
};

/// Supply water is warmer than it should be.
static SUPPLY_HOT: Check = Check {
    id: "supply-hot",
    does: Kind::Fill,
    rank: 360,
    hold: |context| temperatures(context, &SUPPLY_HOT, |found| matches!(found, Conformity::Above(_))),
    widen: |chart, outside| {
        let high = Celsius(outside.up(1));
        let supply = outside.interval_of(chart).and_then(|i| i.supply.as_mut()).filter(|_| high.0 <= WARMEST);
        supply.map(|l| l.high = l.high.max(high)).is_some()
    },
    headline: Headline::Of("supply water is too hot"),
    harm: Harm::Little,
    ..Check::PLAIN
};

/// Fills whose water is outside of the chart's limits on this side.
fn temperatures(context: &Context, check: &'static Check, side: fn(Conformity) -> bool) -> Vec<Outside> {
    let outside = context.matched().filter_map(|(place, expected, phases)| {
        let limits = expected.supply?;
        let settled = context.intervals(phases).filter_map(|i| i.measured.supply).last()?;
        let ends = (Some(limits.low.0), Some(limits.high.0));
        let found = decide(settled.water.0, ends, settled.uncertainty.0);
        found.band().filter(|_| side(found))?;
        let (measured, doubt) =
            (Quantity::Temperature(settled.water), Quantity::Temperature(settled.uncertainty));
        let outside = check.outside(phases[0].start, measured, both(limits, Quantity::Temperature), doubt);
        Some(outside.at(context, place))
    });
    outside.collect()
}
