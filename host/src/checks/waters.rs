//! The waters of a run of which no programme is known, held against each other: how long each takes to come in, and whether it is let out before
//! the next. The machine is its own reference.

use tubtrace_units::Seconds;

use super::check::{Check, Grade, Harm, Headline, Numbers};
use super::constants::PLAIN_FROM;
use super::event::Event;
use super::run::{Run, washes};
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::weighted_median;

pub(super) static CHECKS: [&Check; 2] = [&FILLS_UNDRAINED, &FILLS_UNLIKE];

constants! { "checks.waters":
    /// What comes in within this is a little more for a water that is there: 10 L in a minute are 1.7 L in this time.
    A_FILL: Seconds = Seconds(10.0), "s", Practice;
    /// The shortest drain that lets a water out.
    A_DRAIN: Seconds = Seconds(8.0), "s", Practice;
    /// Washing between two fills that makes them those of two waters.
    WASHED: Seconds = Seconds(30.0), "s", Guess;
    /// A rest in which a drain was due lasts for longer than this.
    A_REST: Seconds = Seconds(30.0), "s", Practice;
    /// So many waters that come in on top of others are no chance.
    ON_TOP: usize = 2, "waters", Guess;
    /// At least so many fills that are alike are a reference.
    REFERENCE: usize = 2, "fills", Guess;
    /// They differ by no more than this part.
    ALIKE: f64 = 0.1, "part", Guess;
    /// A fill is unlike them that takes so many times as long: a first water is half as much again as a rinse, and not this much.
    TIMES_AS_LONG: f64 = 1.8, "factor", Practice;
}

/// Each water is taken on top of the one before. A machine whose drain pump has a supply of its own does so as well.
static FILLS_UNDRAINED: Check = Check {
    id: "fills-undrained",
    subject: "drain pump",
    does: Kind::Drain,
    rank: 503,
    measure: |run| on_top(run).into_iter().collect(),
    hold: |context| {
        let signs = context.signs(FILLS_UNDRAINED.id).iter();
        signs.map(|s| FILLS_UNDRAINED.came(s.at, s.value.number() as usize, 0)).collect()
    },
    grade: Grade::Unusual,
    harm: Harm::Stops,
    stands_in: true,
    masked_by: &["never-drains", "restarts", "stays-full", "gives-up-draining", "drain-goes-on"],
    event: Event::Lasts(A_DRAIN),
    headline: Headline::Is("each water is taken on top of the one before, and no drain is seen between"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// The fills after the first water, if before each of them it washed and rested, and none of them has a drain for sure before it.
fn on_top(run: &Run) -> Option<Sign> {
    let all = &run.cycle.intervals;
    let fills: Vec<usize> = (0..all.len()).filter(|n| is_fill(&all[*n])).collect();
    let lasts = |of: &[Interval], is: fn(&Interval) -> bool| -> Seconds {
        of.iter().filter(|i| is(i)).map(Interval::duration).sum()
    };
    let pairs = fills.windows(2).map(|p| (p[1], &all[p[0] + 1..p[1]]));
    let waters: Vec<(usize, &[Interval])> = pairs.filter(|(_, b)| lasts(b, washes) > WASHED.get()).collect();
    let drains = |i: &Interval| {
        i.kind == Kind::Drain && i.certainty >= PLAIN_FROM.get() && i.duration() > A_DRAIN.get()
    };
    let rests = |i: &Interval| i.kind == Kind::Pause && i.duration() > A_REST.get();
    let undrained = |(_, between): &(usize, &[Interval])| {
        !between.iter().any(drains) && between.last().is_some_and(rests)
    };
    let on_top = waters.len() >= ON_TOP.get() && waters.iter().all(undrained);
    let sign = |(n, _): &(usize, &[Interval])| Sign::new(all[*n].start, Quantity::Count(waters.len() as u32));
    waters.first().filter(|_| on_top).map(sign)
}

fn is_fill(interval: &Interval) -> bool {
    interval.kind == Kind::Fill && interval.duration() > A_FILL.get()
}

/// One fill takes by far longer than the others, which are alike. Some programmes take more water once.
static FILLS_UNLIKE: Check = Check {
    id: "fills-unlike",
    subject: "fill",
    does: Kind::Fill,
    rank: 504,
    hold: |context| {
        let unlike = unlike(&context.cycle.intervals).into_iter();
        unlike
            .map(|(i, most)| FILLS_UNLIKE.lasted(context, i.start, Quantity::Time(i.duration()), most))
            .collect()
    },
    grade: Grade::Unusual,
    stands_in: true,
    masked_by: &["no-water", "no-supply-flow", "fills-slowly"],
    event: Event::Lasts(A_FILL),
    headline: Headline::Is("one fill takes about twice as long as the others, or more"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// The longest fill of a run, and the most that it might last, if the others are alike and it is not.
fn unlike(all: &[Interval]) -> Option<(&Interval, Seconds)> {
    let mut fills: Vec<&Interval> = all.iter().filter(|i| is_fill(i)).collect();
    fills.sort_by(|a, b| a.duration().total_cmp(&b.duration()));
    let (longest, others) = fills.split_last()?;
    let usual = weighted_median(others.iter().map(|i| (i.duration().0, 1.0)))?;
    let alike = |i: &&Interval| (i.duration().0 - usual).abs() <= ALIKE.get() * usual;
    let reference = others.len() >= REFERENCE.get() && others.iter().all(alike);
    let most = Seconds(TIMES_AS_LONG.get() * usual);
    (reference && longest.duration() > most).then_some((*longest, most))
}

#[cfg(test)]
mod tests {
    use super::super::made::{DRAIN, FILL, HEALTHY, HEAT, WASH, cycle, signs};
    use super::*;

    #[test]
    fn water_on_top_of_water_is_told_only_where_no_drain_is_seen_at_all() {
        let rest = (Kind::Pause, 60, 2.0);
        let undrained = [FILL, WASH, HEAT, rest, FILL, WASH, rest, FILL, WASH, rest];
        let told = signs(&FILLS_UNDRAINED, &undrained);
        assert_eq!(told.iter().map(|s| s.value).collect::<Vec<_>>(), [Quantity::Count(2)]);
        assert_eq!(signs(&FILLS_UNDRAINED, &HEALTHY), []);
        let once = [FILL, WASH, HEAT, rest, FILL, WASH, DRAIN, rest, FILL, WASH, DRAIN];
        assert_eq!(signs(&FILLS_UNDRAINED, &once), []);
    }

    #[test]
    fn a_fill_is_unlike_others_only_where_those_are_alike() {
        let fill = |seconds| (FILL.0, seconds, FILL.2);
        let run = |fills: [u32; 3]| {
            let all = fills.into_iter().flat_map(|s| [fill(s), WASH, DRAIN]).collect::<Vec<_>>();
            unlike(&cycle(&all, |_, watts| watts).intervals).map(|(i, _)| i.duration().0)
        };
        assert_eq!(run([60, 150, 60]), Some(150.0));
        assert_eq!(run([60, 90, 60]), None);
        assert_eq!(run([60, 150, 90]), None);
    }
}
