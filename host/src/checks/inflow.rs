//! How much water comes in a minute of filling.

use tubtrace_units::LitresPerMinute;

use super::baseline::{Baseline, Good};
use super::check::{Check, Headline, Needs};
use super::clips;
use super::context::Context;
use super::outside::Outside;
use super::run::{Run, middle};
use super::uncertainty::{Band, Conformity, decide};
use crate::constant::constants;
use crate::intervals::{HeatedWater, Kind, Sign, filled, heated_waters, of_water};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 2] = [&INFLOW_LOW, &INFLOW_HIGH];

constants! { "checks.inflow":
    /// Heat balances of one machine differ from day to day by this part: the load, and how dry it is.
    DAY_TO_DAY: f64 = 0.12, "part", Practice;
}

/// Less water comes in a minute of filling than heat balance shows as a rule.
static INFLOW_LOW: Check = Check {
    id: "inflow-low",
    subject: "fills",
    does: Kind::Fill,
    rank: 370,
    measure: inflows,
    baselines: &[&INLET],
    hold: |context| {
        let (outside, found) = inflow(context, &INFLOW_LOW);
        if matches!(found, Conformity::Below(_)) { outside } else { Vec::new() }
    },
    headline: Headline::Is("less water comes in a minute than heat balance shows as a rule"),
    needs: Needs::Machine,
    ..Check::PLAIN
};

/// More water comes in a minute of filling than heat balance shows as a rule.
static INFLOW_HIGH: Check = Check {
    id: "inflow-high",
    subject: "fills",
    does: Kind::Fill,
    rank: 380,
    hold: |context| {
        let (outside, found) = inflow(context, &INFLOW_HIGH);
        if matches!(found, Conformity::Above(_)) { outside } else { Vec::new() }
    },
    headline: Headline::Is("more water comes in a minute than heat balance shows as a rule"),
    needs: Needs::Machine,
    ..Check::PLAIN
};

/// The least and the most water that comes in a minute of filling, by heat balance, litres; none where it is not known.
static INLET: Baseline<Option<[f64; 2]>> = Baseline {
    key: "inlet_l_min",
    common: || None,
    learn: |good: &Good, _| {
        let inflows = good.each(INFLOW_LOW.id, middle);
        let least = inflows.iter().copied().min_by(f64::total_cmp)?;
        let most = inflows.iter().copied().max_by(f64::total_cmp)?;
        Some([least * (1.0 - DAY_TO_DAY.get()), most * (1.0 + DAY_TO_DAY.get())])
    },
};

/// How much water came in a minute of filling, of each water without purges whose volume heat gives.
fn inflows(run: &Run) -> Vec<Sign> {
    let filled = filled(run.cycle);
    let of = |water: u32| of_water(&run.cycle.intervals, water).iter();
    let all = heated_waters(run.cycle);
    let steady = all.iter().filter(|h| of(h.water).all(|i| i.kind != Kind::Purge));
    let sign = |h: &HeatedWater| {
        let (_, time) = filled[filled.binary_search_by_key(&h.water, |f| f.0).ok()?];
        let (inflow, uncertainty) = h.inflow(time);
        let uncertainty = Some(Quantity::Flow(uncertainty));
        let at = of(h.water).next()?.start;
        Some(Sign { at, about: "", value: Quantity::Flow(inflow), uncertainty })
    };
    steady.filter_map(sign).collect()
}

/// The volume by heat against the time of filling: where they disagree, the water comes at another flow.
fn inflow(context: &Context, check: &'static Check) -> (Vec<Outside>, Conformity) {
    let signs = context.signs(INFLOW_LOW.id);
    let nothing = (Vec::new(), Conformity::Within);
    let (Some(sign), Some([low, high])) = (middle(signs), context.usual(&INLET)) else { return nothing };
    // Heat balance rests on both clips.
    if clips::fail(context) {
        return nothing;
    }
    let uncertainty = signs.iter().filter_map(|s| s.uncertainty).map(Quantity::number).fold(0.0, f64::max);
    let flow = |v| Quantity::Flow(LitresPerMinute(v));
    let limits = (Some(flow(low)), Some(flow(high)));
    let found = decide(sign.value.number(), (Some(low), Some(high)), uncertainty);
    // Near the limit it is the load, and how dry it is.
    if !matches!(found, Conformity::Below(Band::Beyond) | Conformity::Above(Band::Beyond)) {
        return nothing;
    }
    (vec![check.outside(sign.at, sign.value, limits, flow(uncertainty))], found)
}
