//! What comes in which order, in a run of which no programme is known.

use tubtrace_units::Seconds;

use super::check::{Check, Grade, Harm, Headline, Numbers};
use super::event::Event;
use super::run::heats;
use crate::constant::constants;
use crate::intervals::{Interval, Kind};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 1] = [&DRIES_EARLY];

constants! { "checks.order":
    /// An element that is on in an empty tub for longer than this dries: who only heats it by mistake has heated water before, or does both.
    DRIES: Seconds = Seconds(120.0), "s", Guess;
}

/// It dries before its last water and not after it. Nobody dries what is to be rinsed again.
static DRIES_EARLY: Check = Check {
    id: "dries-early",
    subject: "drying",
    does: Kind::Dry,
    rank: 514,
    hold: |context| {
        let early = early(&context.cycle.intervals).filter(|_| !context.cycle.cut_at_end);
        let lasted = |(at, lasts)| DRIES_EARLY.lasted(context, at, Quantity::Time(lasts), Seconds(0.0));
        early.map(lasted).into_iter().collect()
    },
    grade: Grade::Unusual,
    harm: Harm::Wash,
    stands_in: true,
    masked_by: &["ends-full", "ends-filling", "restarts", "heats-on", "heat-in-bursts", "log-ends"],
    event: Event::Lasts(DRIES),
    headline: Headline::Is("it dries before its last water, and not after it"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// From when on it dries before its last water, and for how long in all, if it does not after it.
fn early(all: &[Interval]) -> Option<(Seconds, Seconds)> {
    let last = all.iter().rposition(|i| i.kind == Kind::Fill)?;
    let dry = |i: &&Interval| heats(i) && i.kind == Kind::Dry;
    let (before, after) = all.split_at(last);
    let lasts: Seconds = before.iter().filter(dry).map(Interval::duration).sum();
    let first = before.iter().find(dry)?;
    (lasts > DRIES.get() && !after.iter().any(|i| dry(&i))).then_some((first.start, lasts))
}

#[cfg(test)]
mod tests {
    use super::super::made::{DRAIN, FILL, HEALTHY, HEAT, Part, WASH, cycle};
    use super::*;

    fn told(parts: &[Part]) -> Option<Seconds> {
        early(&cycle(parts, |_, watts| watts).intervals).map(|(_, lasts)| lasts)
    }

    #[test]
    fn drying_before_the_last_water_is_told_only_where_none_comes_after_it() {
        let dry = (Kind::Dry, 600, 2_000.0);
        assert_eq!(told(&[FILL, WASH, HEAT, DRAIN, dry, FILL, WASH, DRAIN]), Some(Seconds(600.0)));
        assert_eq!(told(&[FILL, WASH, HEAT, DRAIN, dry, FILL, WASH, DRAIN, dry]), None);
        assert_eq!(told(&HEALTHY), None);
    }
}
