//! A run that stops in the middle and does from the start what it did at first: the machine is its own reference.

use tubtrace_units::Seconds;

use super::check::{Check, Harm, Headline, Numbers};
use super::constants::AWAKE;
use super::run::{Run, washes};
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 1] = [&RESTARTS];

constants! { "checks.restarts":
    /// Everything stops for at least this long before it begins again.
    STANDS_STILL: Seconds = Seconds(10.0), "s", Guess;
    /// Two times of the same step of a programme differ by no more than this part.
    ALIKE: f64 = 0.15, "part", Guess;
    /// And by this on top, for the ends of both.
    ALIKE_WITHIN: Seconds = Seconds(3.0), "s", Guess;
    /// The step that was broken off lasts at least this part of what it did.
    GOES_ON: f64 = 0.85, "part", Guess;
    /// So many steps that come again in their order are no chance.
    STEPS: usize = 2, "steps", Guess;
    /// What is lost of the log for longer than this may be the end of one run and the beginning of another.
    LOST_AT_MOST: Seconds = Seconds(300.0), "s", Guess;
    /// Who is awake and stands still for longer soaks; a control that lost its mains is not awake.
    SOAKS_FROM: Seconds = Seconds(600.0), "s", Practice;
    /// Who restarts drains again, for longer than this in all: 3 L at 10 L in a minute are 18 s.
    DRAINS: Seconds = Seconds(15.0), "s", Practice;
}

/// It stops in the middle of a water, and begins again from the start.
static RESTARTS: Check = Check {
    id: "restarts",
    subject: "pause",
    does: Kind::Pause,
    rank: 305,
    measure: |run| restart(run).into_iter().collect(),
    hold: |context| {
        let signs = context.signs(RESTARTS.id).iter();
        signs.map(|s| RESTARTS.lasted(context, s.at, s.value, STANDS_STILL.get())).collect()
    },
    harm: Harm::Stops,
    stands_in: true,
    masked_by: &["pump-silent", "pump-stalls", "pump-tries", "pump-jams", "drain-goes-on"],
    event: super::event::Event::Lasts(STANDS_STILL),
    headline: Headline::Is("it stops in the middle, and begins again from the start"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// What a machine does between two waters and in one: how long it fills, washes or drains in all before it does something else.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Does {
    Fills,
    Washes,
    Drains,
}

fn does(interval: &Interval) -> Option<Does> {
    match interval.kind {
        Kind::Fill => Some(Does::Fills),
        Kind::Drain => Some(Does::Drains),
        _ if washes(interval) => Some(Does::Washes),
        _ => None,
    }
}

/// The steps of some intervals, from the first fill on.
fn steps(intervals: &[Interval]) -> Vec<(Does, Seconds)> {
    let mut steps: Vec<(Does, Seconds)> = Vec::new();
    for (does, lasts) in intervals.iter().filter_map(|i| Some((does(i)?, i.duration()))) {
        match steps.last_mut().filter(|step| step.0 == does) {
            Some(step) => step.1 += lasts,
            None => steps.push((does, lasts)),
        }
    }
    let first = steps.iter().position(|step| step.0 != Does::Drains).unwrap_or(steps.len());
    steps.split_off(first)
}

fn alike(a: &(Does, Seconds), b: &(Does, Seconds)) -> bool {
    let most = a.1.max(b.1) * ALIKE.get() + ALIKE_WITHIN.get();
    a.0 == b.0 && a.1 - b.1 < most && b.1 - a.1 < most
}

/// The standstill in the middle of a water after which the steps are those of the beginning: several of them, or the one that was broken off among
/// them. A meter behind the same breaker loses readings while the mains is lost, so what is lost beside a rest is part of it. A run that drains
/// nowhere after it has no drain pump, and takes water on top of water instead.
fn restart(run: &Run) -> Option<Sign> {
    let all = &run.cycle.intervals;
    let rests = |i: &Interval| match i.kind {
        Kind::Pause => true,
        Kind::Gap => i.duration() < LOST_AT_MOST.get(),
        _ => false,
    };
    let groups: Vec<&[Interval]> = all.chunk_by(|a, b| rests(a) && rests(b)).collect();
    let stops = |g: &&[&[Interval]]| {
        let (before, rest, next) = (g[0].last(), g[1], g[2].first());
        let awake =
            |i: &Interval| i.kind == Kind::Pause && i.measured.power >= run.levels.standby + AWAKE.get();
        let soaks = lasts(rest) > SOAKS_FROM.get() && rest.iter().any(awake);
        // Nobody saw it stop where readings are lost at once: it may have drained.
        let seen = rest[0].kind == Kind::Pause;
        let stands = seen && rest.iter().all(rests) && lasts(rest) > STANDS_STILL.get() && !soaks;
        let goes_on = next.is_some_and(|i| matches!(i.kind, Kind::Drain | Kind::Fill));
        // Water that has just come in is let out again by nobody.
        let filled = before.is_some_and(|i| i.kind == Kind::Fill);
        let unused = filled && next.is_some_and(|i| i.kind == Kind::Drain);
        stands && ((before.is_some_and(washes) && goes_on) || unused)
    };
    let again = |rest: &&[Interval]| {
        let (from, to) = (place(all, &rest[0]), place(all, &rest[rest.len() - 1]));
        let (before, after) = (steps(&all[..from]), steps(&all[to + 1..]));
        let same = before.iter().zip(&after).take_while(|(a, b)| alike(a, b)).count();
        // The step that was broken off comes again, and goes on.
        let goes_on = || {
            let broken = before.last().zip(after.get(same)).filter(|_| same + 1 == before.len());
            broken.is_some_and(|(broken, again)| broken.0 == again.0 && again.1 > broken.1 * GOES_ON.get())
        };
        let drained: Seconds = after.iter().filter(|step| step.0 == Does::Drains).map(|step| step.1).sum();
        drained > DRAINS.get() && (same >= STEPS.get() || (same > 0 && goes_on()))
    };
    let rest = groups.windows(3).filter(stops).map(|g| g[1]).find(again)?;
    Some(Sign::new(rest[0].start, Quantity::Time(lasts(rest))))
}

fn lasts(rest: &[Interval]) -> Seconds {
    rest.iter().map(Interval::duration).sum()
}

/// Where an interval stands among all.
fn place(all: &[Interval], of: &Interval) -> usize {
    all.iter().position(|i| i.start == of.start).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::super::made::{DRAIN, FILL, HEALTHY, HEAT, Part, WASH, signs};
    use super::*;

    /// How long the standstill is that is told of a run that begins again after these.
    fn told(rest: &[Part]) -> Vec<Quantity> {
        let again = [FILL, WASH, HEAT, DRAIN, FILL, WASH, DRAIN];
        let run: Vec<Part> = [FILL, WASH, HEAT].iter().chain(rest).chain(&again).copied().collect();
        signs(&RESTARTS, &run).iter().map(|sign| sign.value).collect()
    }

    #[test]
    fn a_run_that_begins_again_is_told_across_lost_readings_and_a_soak_is_not() {
        assert_eq!(told(&[(Kind::Pause, 60, 0.0)]), [Quantity::Time(Seconds(60.0))]);
        assert_eq!(told(&[(Kind::Pause, 2, 0.0), (Kind::Gap, 120, 0.0)]), [Quantity::Time(Seconds(122.0))]);
        assert_eq!(told(&[(Kind::Pause, 1_000, 2.0)]), []);
        assert_eq!(told(&[(Kind::Gap, 500, 0.0)]), []);
        assert_eq!(signs(&RESTARTS, &HEALTHY), []);
    }

    #[test]
    fn water_on_top_of_water_is_no_restart_where_nothing_drains() {
        let rest = (Kind::Pause, 60, 0.0);
        assert_eq!(signs(&RESTARTS, &[FILL, WASH, HEAT, rest, FILL, WASH, HEAT, rest, FILL, WASH]), []);
    }
}
