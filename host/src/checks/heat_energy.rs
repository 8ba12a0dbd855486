//! The heat of one uninterrupted stretch: no water and no load of dishes takes more than so much.

use tubtrace_units::{Joules, Load};

use super::check::{Check, Harm, Headline};
use super::context::Context;
use super::outside::Outside;
use crate::constant::constants;
use crate::intervals::{Interval, Kind};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 1] = [&HEATS_TOO_LONG];

constants! { "checks.heat_energy":
    /// The most that an element heats without a rest on any machine: 8 L of water, 20 kg of crockery and 10 kg of steel from 5 to 80 degrees C,
    /// at 4.19, 0.8 and 0.5 kJ/(kg K), and a tenth more that is lost: (33.5 + 16 + 5) kJ/K x 75 K x 1.1.
    MOST_HEAT: Joules = Joules(4.5e6), "J", Practice;
}

/// The element is on, without a rest, for longer than any water takes to be warm: nothing stops it.
static HEATS_TOO_LONG: Check = Check {
    id: "heats-too-long",
    subject: "element",
    does: Kind::Heat,
    rank: 265,
    hold: |context| longest(context).into_iter().collect(),
    harm: Harm::People,
    headline: Headline::Is("the element heats for longer than any water takes"),
    ..Check::PLAIN
};

/// The stretch of heat that took the most, if that is too much, with how long so much would have lasted.
fn longest(context: &Context) -> Option<Outside> {
    let heats = |i: &Interval| i.loads.has(Load::Heater);
    let all = &context.cycle.intervals;
    let stretches = all.chunk_by(|a, b| heats(a) && heats(b) && a.end == b.start).filter(|s| heats(&s[0]));
    let heat = |s: &&[Interval]| -> Joules { s.iter().map(|i| i.measured.power.during(i.duration())).sum() };
    let most = stretches.max_by(|a, b| heat(a).total_cmp(&heat(b)))?;
    let (start, lasts) = (most[0].start, most[most.len() - 1].end - most[0].start);
    let limit = lasts * (MOST_HEAT.get() / heat(&most));
    (limit < lasts).then(|| HEATS_TOO_LONG.lasted(context, start, Quantity::Time(lasts), limit))
}
