//! The fill valve: whether water comes when it is on, and only then, and how it shuts.

use tubtrace_units::Seconds;

use super::check::{Check, Headline};
use super::evidence::fills;
use super::habit::Habit;
use super::run::{Run, middle};
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::trace::Noise;

pub(super) static CHECKS: [&Check; 3] = [&HAMMERS, &NO_SUPPLY_FLOW, &FLOW_WHEN_OFF];

/// The inlet valve shuts with a blow.
static HAMMERS: Check = Check {
    id: "hammers",
    subject: "hose",
    does: Kind::Fill,
    rank: 230,
    measure: |run| run.of(&[Kind::Fill]).filter_map(|fill| knock(run, fill)).collect(),
    habits: &[&KNOCK],
    hold: |case| {
        let usual = case.usual(&KNOCK);
        let typical = middle(case.signs(&HAMMERS)).filter(|s| s.value.number() > usual);
        typical.map(|s| HAMMERS.at_most(s, usual, 0.02 * usual)).into_iter().collect()
    },
    headline: Headline::Is("the inlet valve shuts with a blow"),
    ..Check::PLAIN
};

/// Level in the supply line as the valve shuts, in counts: a tenth of a second holds a few hundred of an ordinary knock.
static KNOCK: Habit<f64> = Habit {
    key: "knock",
    common: 560.0,
    learn: |good, common| {
        // How loud a valve is depends on the pipe: of many good cycles it is known.
        if good.few() {
            good.over(common, &HAMMERS, middle)
        } else {
            2.0 * good.most(&HAMMERS, middle).max(QUIET_KNOCK)
        }
    },
};

/// A valve that shuts without being heard, in counts.
const QUIET_KNOCK: f64 = 20.0;

/// The loudest level in the supply line as the valve shuts, in counts.
fn knock(run: &Run, fill: &Interval) -> Option<Sign> {
    let (from, to) = (fill.end - Seconds(0.4), fill.end + Seconds(0.4));
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
    hold: |case| {
        let washes = |i: &Interval| i.kind == Kind::Wash && i.duration() > Seconds(30.0);
        let unheard = fills::unheard(case, case.signs(&NO_SUPPLY_FLOW));
        let valve = unheard.first().filter(|_| !case.cycle.intervals.iter().any(washes));
        valve.map(|(_, valve)| NO_SUPPLY_FLOW.counted(valve.start, 1, 0)).into_iter().collect()
    },
    masked_by: &["supply-deaf"],
    headline: Headline::Is("the fill valve is on, and no water is heard"),
    of_order_or_load: true,
    ..Check::PLAIN
};

/// Water is heard with the valve off.
static FLOW_WHEN_OFF: Check = Check {
    id: "flow-when-off",
    subject: "idle",
    does: Kind::Pause,
    rank: 340,
    hold: |case| {
        let quiet = case.surroundings.quiet_supply;
        let (Some(idle), Some(quiet)) = (case.cycle.idle_supply_noise, quiet) else { return Vec::new() };
        let most = Noise(LEAKS.0 * quiet.0 + LEAKS.1);
        let limits = (None, Some(Quantity::Noise(most)));
        let doubt = Quantity::Noise(Noise(0.25));
        let leak = FLOW_WHEN_OFF.outside(case.cycle.start(), Quantity::Noise(idle), limits, doubt).sure(0.9);
        if idle > most { vec![leak] } else { Vec::new() }
    },
    headline: Headline::Is("water is heard with the valve off"),
    ..Check::PLAIN
};

/// An idle supply line that is so much louder than the quietest of the same log is not idle: this factor, and an eighth
/// of a count for the recorder's bound, of which minutes average out the half. Common practice, no source.
const LEAKS: (f64, f64) = (1.25, 0.125);
