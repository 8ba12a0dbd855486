//! The heat of one uninterrupted stretch: no water and no load of dishes takes more than so much.

use tubtrace_units::{Joules, Seconds};

use super::check::{Check, Harm, Headline};
use super::run::heats;
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
    hold: |context| {
        let too_long = |(at, lasts, most)| HEATS_TOO_LONG.lasted(context, at, Quantity::Time(lasts), most);
        too_long_without_a_rest(&context.cycle.intervals).map(too_long).into_iter().collect()
    },
    harm: Harm::People,
    headline: Headline::Is("the element heats for longer than any water takes"),
    ..Check::PLAIN
};

/// The stretch of heat that took the most, if that is too much: from when on, how long it lasted, and how long so much would have lasted.
fn too_long_without_a_rest(all: &[Interval]) -> Option<(Seconds, Seconds, Seconds)> {
    let stretches = all.chunk_by(|a, b| heats(a) && heats(b) && a.end == b.start).filter(|s| heats(&s[0]));
    let heat = |s: &&[Interval]| -> Joules { s.iter().map(|i| i.measured.power.during(i.duration())).sum() };
    let most = stretches.max_by(|a, b| heat(a).total_cmp(&heat(b)))?;
    let (start, lasts) = (most[0].start, most[most.len() - 1].end - most[0].start);
    let limit = lasts * (MOST_HEAT.get() / heat(&most));
    (limit < lasts).then_some((start, lasts, limit))
}

#[cfg(test)]
mod tests {
    use super::super::made::{DRAIN, FILL, HEALTHY, Part, WASH, cycle};
    use super::*;

    /// 4.5 MJ at 2,090 W are 2,153 s.
    #[test]
    fn heat_that_would_boil_its_water_is_told_and_the_most_that_any_takes_is_not() {
        let told = |parts: &[Part]| too_long_without_a_rest(&cycle(parts, |_, watts| watts).intervals);
        let heats = |lasts| told(&[FILL, WASH, (Kind::Heat, lasts, 2_090.0), DRAIN]);
        assert_eq!(heats(2_150), None);
        let (at, lasts, most) = heats(2_400).expect("it is too long");
        assert_eq!((at, lasts), (Seconds(360.0), Seconds(2_400.0)));
        assert!((most.0 - 2_153.1).abs() < 0.1, "{most}");
        assert_eq!(told(&HEALTHY), None);
    }
}
