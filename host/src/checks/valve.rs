//! The fill valve: whether water comes when it is on, and only then, and how it shuts.

use tubtrace_units::Seconds;

use super::baseline::Baseline;
use super::check::{Check, Harm, Headline};
use super::evidence::fills;
use super::run::{Run, middle};
use super::uncertainty::Band;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::trace::Noise;

pub(super) static CHECKS: [&Check; 3] = [&HAMMERS, &NO_SUPPLY_FLOW, &FLOW_WHEN_OFF];

constants! { "checks.valve":
    /// Level in the supply line as the valve shuts, where the chart says nothing: a tenth of a second holds a few hundred counts of an
    /// ordinary knock.
    LOUDEST_KNOCK: f64 = 560.0, "counts", Fitted;
    /// How loud a valve is depends on the pipe: of many good cycles it is known, and may be this many times as loud.
    KNOCK_ROOM: f64 = 2.0, "factor", Fitted;
    /// A valve that shuts without being heard.
    QUIET_KNOCK: f64 = 20.0, "counts", Guess;
    /// The blow is looked for so long before and after the end of a fill.
    KNOCK_WITHIN: Seconds = Seconds(0.4), "s", Guess;
    /// Expanded uncertainty of a knock, over what is usual.
    KNOCK_DOUBT: f64 = 0.02, "part", Guess;

    /// A run that washes for longer than this has got its water.
    WASHES: Seconds = Seconds(30.0), "s", Guess;

    /// An idle supply line that is this many times as loud as the quietest of the same log is not idle.
    LEAKS_TIMES: f64 = 1.25, "factor", Practice;
    /// An idle supply line that leaks is louder by this as well, for the recorder's bound, of which minutes average out the half.
    LEAKS_MORE: f64 = 0.125, "counts", Practice;
    /// Expanded uncertainty of the level of an idle supply line: the recorder's bound.
    IDLE_DOUBT: f64 = 0.25, "counts", Guess;
    /// Probability that what is heard in an idle supply line is water.
    LEAK_SURE: f64 = 0.9, "probability", Guess;
}

/// The inlet valve shuts with a blow.
static HAMMERS: Check = Check {
    id: "hammers",
    subject: "hose",
    does: Kind::Fill,
    rank: 230,
    measure: |run| run.of(&[Kind::Fill]).filter_map(|fill| knock(run, fill)).collect(),
    baselines: &[&KNOCK],
    hold: |context| {
        let usual = context.usual(&KNOCK);
        let typical = middle(context.signs(HAMMERS.id)).filter(|s| s.value.number() > usual);
        typical.map(|s| HAMMERS.at_most(s, usual, KNOCK_DOUBT.get() * usual)).into_iter().collect()
    },
    headline: Headline::Is("water hammer as the inlet valve shuts"),
    harm: Harm::Little,
    ..Check::PLAIN
};

/// Level in the supply line as the valve shuts, in counts.
static KNOCK: Baseline<f64> = Baseline {
    key: "knock",
    common: || LOUDEST_KNOCK.get(),
    learn: |good, common| {
        // Cycles of a meter have heard no valve: their machine knocks as any other may.
        if good.few() || good.most(HAMMERS.id, middle) <= 0.0 {
            good.over(common, HAMMERS.id, middle)
        } else {
            KNOCK_ROOM.get() * good.most(HAMMERS.id, middle).max(QUIET_KNOCK.get())
        }
    },
};

/// The loudest level in the supply line as the valve shuts, in counts.
fn knock(run: &Run, fill: &Interval) -> Option<Sign> {
    let (from, to) = (fill.end - KNOCK_WITHIN.get(), fill.end + KNOCK_WITHIN.get());
    let levels = run.record.between(from, to).filter_map(|s| Some(s.detail?.supply.0));
    let loudest = levels.max_by(f64::total_cmp)?;
    Some(Sign::new(fill.end, Quantity::Part(loudest)))
}

/// The fill valve is on and no water is heard: something small that leads nowhere, in a run that does not wash.
static NO_SUPPLY_FLOW: Check = Check {
    id: "no-supply-flow",
    subject: "fill",
    does: Kind::Fill,
    rank: 110,
    measure: fills::heard,
    hold: |context| {
        let washes = |i: &Interval| i.kind == Kind::Wash && i.duration() > WASHES.get();
        let unheard = fills::unheard(context, context.signs(NO_SUPPLY_FLOW.id));
        // Where water was heard in any fill, the supply is open, and what is not heard is something else.
        let came = context.signs(NO_SUPPLY_FLOW.id).iter().any(|level| level.value.number() >= 1.0);
        let dry = !came && !context.cycle.intervals.iter().any(washes);
        let valve = unheard.first().filter(|_| dry);
        valve.map(|(_, valve)| NO_SUPPLY_FLOW.counted(valve.start, 1, 0)).into_iter().collect()
    },
    masked_by: &["supply-deaf"],
    headline: Headline::Is("the fill valve is on, and no water is heard"),
    of_order_or_load: true,
    harm: Harm::Stops,
    ..Check::PLAIN
};

/// Water is heard with the valve off.
static FLOW_WHEN_OFF: Check = Check {
    id: "flow-when-off",
    subject: "idle",
    does: Kind::Pause,
    rank: 340,
    hold: |context| {
        let quiet = context.surroundings.quiet_supply;
        let (Some(idle), Some(quiet)) = (context.cycle.idle_supply_noise, quiet) else { return Vec::new() };
        let most = Noise(LEAKS_TIMES.get() * quiet.0 + LEAKS_MORE.get());
        let limits = (None, Some(Quantity::Noise(most)));
        let doubt = Quantity::Noise(Noise(IDLE_DOUBT.get()));
        let leak = FLOW_WHEN_OFF
            .outside(context.cycle.start(), Quantity::Noise(idle), limits, doubt)
            .sure(LEAK_SURE.get())
            // The most that is quiet lies between silence and water with room of its own on either side.
            .band(Band::Beyond);
        if idle > most { vec![leak] } else { Vec::new() }
    },
    headline: Headline::Is("water is heard with the valve off"),
    harm: Harm::People,
    ..Check::PLAIN
};
