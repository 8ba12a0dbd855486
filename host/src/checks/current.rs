//! What each load of the chart draws.

use tubtrace_units::{Amps, Seconds};

use super::check::{Check, Headline};
use super::constants;
use super::context::Context;
use super::event::Event;
use super::outside::{Outside, both};
use super::uncertainty::{Conformity, decide};
use crate::alignment::clearest;
use crate::chart::numbers::MOST_AMPS;
use crate::constant::constants;
use crate::intervals::Interval;
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 2] = [&CURRENT_LOW, &CURRENT_HIGH];

constants! { "checks.current":
    /// Current is judged over at least this long.
    STEADY: Seconds = Seconds(8.0), "s", Guess;
}

/// It draws less than the chart allows.
static CURRENT_LOW: Check = Check {
    id: "current-low",
    rank: 400,
    hold: |context| currents(context, &CURRENT_LOW, |found| matches!(found, Conformity::Below(_))),
    widen: |chart, outside| {
        let low = Amps(outside.down(3));
        let amps = outside.interval_of(chart).and_then(|i| i.amps.as_mut());
        amps.map(|l| l.low = l.low.min(low)).is_some()
    },
    event: Event::Shortest,
    headline: Headline::Of("draws too little"),
    of_order_or_load: true,
    ..Check::PLAIN
};

/// It draws more than the chart allows.
static CURRENT_HIGH: Check = Check {
    id: "current-high",
    rank: 410,
    hold: |context| currents(context, &CURRENT_HIGH, |found| matches!(found, Conformity::Above(_))),
    widen: |chart, outside| {
        let high = Amps(outside.up(3));
        let amps = outside.interval_of(chart).and_then(|i| i.amps.as_mut()).filter(|_| high.0 <= MOST_AMPS);
        amps.map(|l| l.high = l.high.max(high)).is_some()
    },
    event: Event::Shortest,
    headline: Headline::Of("draws too much"),
    of_order_or_load: true,
    ..Check::PLAIN
};

/// Intervals of the chart that draw what is outside of its limits on this side. What draws nothing of a heater is no heat, and
/// is told as that.
fn currents(context: &Context, check: &'static Check, side: fn(Conformity) -> bool) -> Vec<Outside> {
    let outside = context.matched().filter_map(|(place, expected, phases)| {
        // What is short beside lost readings may be the start of something, or the rest of something else.
        let lost = |i: &Interval| context.lost_about(i.start).is_some();
        let least = |i: &Interval| if lost(i) { constants::STEADY.get() } else { STEADY.get() };
        let own = context.intervals(phases).filter(|i| i.duration() >= least(i));
        let longest = clearest(expected.kind, own, context.surroundings.resolution)?;
        let (limits, amps, uncertainty) =
            (expected.amps?, longest.measured.amps, longest.measured.amps_doubt());
        let found = decide(amps.0, (Some(limits.low.0), Some(limits.high.0)), uncertainty.0);
        found.band().filter(|_| side(found))?;
        let (measured, doubt) = (Quantity::Current(amps), Quantity::Current(uncertainty));
        let outside = check.outside(phases[0].start, measured, both(limits, Quantity::Current), doubt);
        Some(outside.at(context, place).sure(longest.certainty))
    });
    outside.collect()
}
