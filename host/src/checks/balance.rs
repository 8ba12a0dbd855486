//! The water that came in, in a run of which no programme is known: how warm it was and, by the heat that warmed it, how fast it
//! came. What is found here is unusual, and healthy machines in some houses do it.

use tubtrace_units::{Celsius, LitresPerMinute, Seconds};

use super::check::{Check, Grade, Headline};
use super::clips;
use super::context::Context;
use super::outside::Outside;
use super::run::{Run, middle};
use crate::constant::constants;
use crate::intervals::{HeatedWater, Kind, Settled, Sign, filled, heated_waters, of_water};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 2] = [&SUPPLY_LUKEWARM, &INFLOW_THIN];

constants! { "checks.balance":
    /// Hot supply water is at least this warm at the machine: 120 degrees F.
    HOT: Celsius = Celsius(49.0), "degrees C", Practice;
    /// Cold supply water is no warmer than this, and a machine that is fed cold has nothing to complain of.
    COLD: Celsius = Celsius(25.0), "degrees C", Source("EN 806-2, 3.6 (from memory)");
    /// An inlet valve lets in at least this much: its flow washer is for 2.5 L in a minute or more.
    THIN: f64 = 2.5, "L/min", Practice;
    /// The time of filling that says how fast water comes: a shorter one is mostly the valve's opening.
    FILLS: Seconds = Seconds(20.0), "s", Guess;
}

/// Supply water is neither cold nor hot, and the line got hot in no fill of the run: one that does in a later fill is a long pipe.
static SUPPLY_LUKEWARM: Check = Check {
    id: "supply-lukewarm",
    subject: "fills",
    does: Kind::Fill,
    rank: 521,
    hold: |context| lukewarm(context).into_iter().collect(),
    grade: Grade::Unusual,
    stands_in: true,
    headline: Headline::Is("supply water is lukewarm in all fills"),
    ..Check::PLAIN
};

fn lukewarm(context: &Context) -> Option<Outside> {
    if clips::fail(context) {
        return None;
    }
    let fills =
        || context.cycle.intervals.iter().filter(|i| i.kind == Kind::Fill && i.duration() > FILLS.get());
    let settled = || fills().filter_map(|i| Some((i.start, i.measured.supply?)));
    let warmth = |a: &(Seconds, Settled), b: &(Seconds, Settled)| a.1.water.total_cmp(&b.1.water);
    let (at, warmest) = settled().max_by(warmth)?;
    let not_cold = warmest.water - warmest.uncertainty > COLD.get();
    let not_hot = warmest.water + warmest.uncertainty < HOT.get();
    let limits = (Some(Quantity::Temperature(HOT.get())), None);
    let (measured, doubt) =
        (Quantity::Temperature(warmest.water), Quantity::Temperature(warmest.uncertainty));
    (not_cold && not_hot).then(|| SUPPLY_LUKEWARM.outside(at, measured, limits, doubt))
}

/// Water comes slowly, by the heat that warmed it. Heat balance gives the most that it can have been, since tub and load take heat too.
static INFLOW_THIN: Check = Check {
    id: "inflow-thin",
    subject: "fills",
    does: Kind::Fill,
    rank: 522,
    measure: inflows,
    hold: |context| thin(context).into_iter().collect(),
    grade: Grade::Unusual,
    stands_in: true,
    masked_by: &["fills-slowly", "no-water", "no-supply-flow"],
    headline: Headline::Is("heat balance shows that little water comes in a minute of filling"),
    ..Check::PLAIN
};

/// How much came in a minute of filling at most, of each water that was heated.
fn inflows(run: &Run) -> Vec<Sign> {
    let filled = filled(run.cycle);
    let sign = |heated: &HeatedWater| {
        let (_, time) = *filled.iter().find(|f| f.0 == heated.water && f.1 > FILLS.get())?;
        let fill = of_water(&run.cycle.intervals, heated.water).iter().find(|i| i.kind == Kind::Fill)?;
        let (inflow, doubt) = heated.inflow(time);
        let uncertainty = Some(Quantity::Flow(doubt));
        Some(Sign { uncertainty, ..Sign::new(fill.start, Quantity::Flow(inflow)) })
    };
    heated_waters(run.cycle).iter().filter_map(sign).collect()
}

/// The flow in the middle of those that were measured, where it is surely less than a valve lets in.
fn thin(context: &Context) -> Option<Outside> {
    let typical = middle(context.signs(INFLOW_THIN.id)).filter(|_| !clips::fail(context))?;
    let doubt = typical.uncertainty?;
    let surely = typical.value.number() + doubt.number() < THIN.get();
    let limits = (Some(Quantity::Flow(LitresPerMinute(THIN.get()))), None);
    surely.then(|| INFLOW_THIN.outside(typical.at, typical.value, limits, doubt))
}
