//! Whether the water leaves, in a run of which no programme is known: a control that waits for an empty tub drains on, tries again or gives up;
//! one that notices nothing goes on with a full one, which takes no more water.

use tubtrace_units::Seconds;

use super::check::{Check, Grade, Harm, Headline, Numbers};
use super::constants::A_VALVE;
use super::context::Context;
use super::event::Event;
use super::outside::Outside;
use super::run::{Run, washes};
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::weighted_median;

pub(super) static CHECKS: [&Check; 4] = [&GIVES_UP_DRAINING, &STAYS_FULL, &DRAINS_AGAIN, &BEGINS_FULL];

constants! { "checks.emptying":
    /// The shortest drain: where readings are too coarse to show it, nobody can say that the water stayed.
    A_DRAIN: Seconds = Seconds(10.0), "s", Practice;
    /// A control waits for an empty tub for longer than this before it gives up.
    WAITS_FROM: Seconds = Seconds(150.0), "s", Practice;
    /// The same where the run has no other drain to compare with.
    WAITS_ALONE: Seconds = Seconds(180.0), "s", Practice;
    /// A control that waits for an empty tub has given up by then: a pump that runs for longer is not switched by a control.
    WAITS_TO: Seconds = Seconds(600.0), "s", Practice;
    /// A drain that never ends by itself lasts so many times as long as the others of its run.
    TIMES_THE_OTHERS: f64 = 2.5, "factor", Guess;
    /// A control that tries again rests for no longer than this.
    TRIES_AGAIN: Seconds = Seconds(60.0), "s", Practice;
    /// What pumps a whole water out takes at least so long: 3 L at 10 L in a minute are 18 s, and the control runs on for some seconds.
    WHOLE: Seconds = Seconds(30.0), "s", Practice;
    /// Two drains of as much water differ by no more than this part, in time and in power.
    ALIKE: f64 = 0.25, "part", Guess;
    /// No water comes in within this: the least water is 2 L, and a valve lets in 10 L in a minute at most.
    NO_FILL: Seconds = Seconds(12.0), "s", Practice;
    /// Washing for longer than this is done with water; a pump that only rinses its hoses out runs for seconds.
    WASHES_ON: Seconds = Seconds(60.0), "s", Practice;
    /// So many drains after which no water is taken are no chance.
    STAYS: usize = 2, "times", Guess;
}

fn lasts(intervals: &[&Interval]) -> Seconds {
    intervals.iter().map(|i| i.duration()).sum()
}

/// Whether two drains are of as much water.
fn alike(a: &Interval, b: &Interval) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= ALIKE.get() * a.max(b);
    near(a.duration().0, b.duration().0) && near(a.measured.power.0, b.measured.power.0)
}

/// The drains that pump a whole water out: those that come after washing, as long as they ordinarily are in this run.
fn whole_drains(all: &[Interval]) -> Vec<usize> {
    let first = all.iter().position(washes).unwrap_or(all.len());
    let long = |n: &usize| all[*n].kind == Kind::Drain && all[*n].duration() >= WHOLE.get();
    let drains: Vec<usize> = (first..all.len()).filter(long).collect();
    let usual = |of: fn(&Interval) -> f64| weighted_median(drains.iter().map(|n| (of(&all[*n]), 1.0)));
    let (Some(time), Some(power)) = (usual(|i| i.duration().0), usual(|i| i.measured.power.0)) else {
        return drains;
    };
    let ordinary = |i: &Interval| {
        let near = (i.measured.power.0 - power).abs() <= ALIKE.get() * power;
        near && i.duration().0 >= (1.0 - ALIKE.get()) * time
    };
    drains.into_iter().filter(|n| ordinary(&all[*n])).collect()
}

/// The run ends with drains that go on for minutes: the control waits for a tub that does not empty, and gives up.
static GIVES_UP_DRAINING: Check = Check {
    id: "gives-up-draining",
    subject: "drain",
    does: Kind::Drain,
    rank: 135,
    hold: |context| gives_up_draining(context).into_iter().collect(),
    harm: Harm::Stops,
    stands_in: true,
    event: Event::Lasts(A_DRAIN),
    headline: Headline::Is("it drains for minutes at the end, as if the tub did not empty"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// What follows the last water, washed with or only let in, where that is drains with short rests alone: a tub that is full takes no more, and is
/// drained at once. It is sure whatever they are taken for: no other drain came after that water.
fn gives_up_draining(context: &Context) -> Option<Outside> {
    let all = &context.cycle.intervals;
    let first = all.iter().position(washes)?;
    let last = all.iter().rposition(|i| washes(i) || i.kind == Kind::Fill).filter(|last| *last >= first)?;
    let (before, tail) = all.split_at(last + 1);
    let rests = |i: &Interval| i.kind == Kind::Pause && i.duration() < TRIES_AGAIN.get();
    let waits: Vec<&Interval> = tail.iter().take_while(|i| i.kind == Kind::Drain || rests(i)).collect();
    // What comes long after is another try of a person.
    let after = &tail[waits.len()..];
    if after.first().is_some_and(|i| i.kind != Kind::Pause) || context.cycle.cut_at_end {
        return None;
    }
    let drains: Vec<&Interval> = waits.into_iter().filter(|i| i.kind == Kind::Drain).collect();
    let lasted = lasts(&drains);
    let others = whole_drains(before).into_iter().map(|n| (before[n].duration().0, 1.0));
    let most = match weighted_median(others) {
        Some(other) => WAITS_FROM.get().max(Seconds(TIMES_THE_OTHERS.get() * other)),
        None => WAITS_ALONE.get(),
    };
    if lasted < most || lasted > WAITS_TO.get() {
        return None;
    }
    let longest = drains.iter().max_by(|a, b| a.duration().total_cmp(&b.duration()))?;
    // What draws no more than a valve waits for water.
    let idle = context.cycle.record.signatures?.standby;
    if longest.measured.power < idle + A_VALVE.get() {
        return None;
    }
    Some(GIVES_UP_DRAINING.lasted(context, longest.start, Quantity::Time(lasted), most))
}

/// After its drains the machine washes on without having taken water: the tub was still full.
static STAYS_FULL: Check = Check {
    id: "stays-full",
    subject: "drain",
    does: Kind::Drain,
    rank: 136,
    measure: |run| {
        let all = &run.cycle.intervals;
        let full: Vec<usize> = whole_drains(all).into_iter().filter(|n| goes_on(&all[*n..])).collect();
        let first = full.first().filter(|_| full.len() >= STAYS.get());
        first.map(|n| Sign::new(all[*n].start, Quantity::Count(full.len() as u32))).into_iter().collect()
    },
    hold: |context| {
        let signs = context.signs(STAYS_FULL.id).iter();
        signs.map(|s| STAYS_FULL.came(s.at, s.value.number() as usize, 0)).collect()
    },
    harm: Harm::Stops,
    stands_in: true,
    masked_by: &["gives-up-draining", "drain-stays-on", "drain-goes-on", "clips", "out-of-scale"],
    event: Event::Lasts(NO_FILL),
    headline: Headline::Is("it drains, and washes on without taking water: the tub was still full"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// Whether the machine washes on after the first of these intervals before water could have come in.
fn goes_on(from: &[Interval]) -> bool {
    let end = from[0].end;
    let next = from.iter().position(washes).filter(|n| from[*n].start - end < NO_FILL.get());
    let washing = next.map(|n| from[n..].iter().take_while(|i| washes(i)).collect::<Vec<_>>());
    washing.is_some_and(|washing| lasts(&washing) > WASHES_ON.get())
}

/// A water is drained twice: the control saw that it had not left. Some machines always drain in two steps.
static DRAINS_AGAIN: Check = Check {
    id: "drains-again",
    subject: "drain",
    does: Kind::Drain,
    rank: 505,
    measure: |run| {
        let all = &run.cycle.intervals;
        let whole = whole_drains(all);
        let rest = |between: &[Interval]| {
            let rests = between.iter().all(|i| i.kind == Kind::Pause);
            rests && !between.is_empty() && lasts(&between.iter().collect::<Vec<_>>()) < TRIES_AGAIN.get()
        };
        let again = |p: &&[usize]| rest(&all[p[0] + 1..p[1]]) && alike(&all[p[0]], &all[p[1]]);
        let pairs: Vec<&[usize]> = whole.windows(2).filter(again).collect();
        let sign = |p: &&[usize]| Sign::new(all[p[1]].start, Quantity::Count(pairs.len() as u32));
        pairs.first().map(sign).into_iter().collect()
    },
    hold: |context| {
        let signs = context.signs(DRAINS_AGAIN.id).iter();
        signs.map(|s| DRAINS_AGAIN.came(s.at, s.value.number() as usize, 0)).collect()
    },
    grade: Grade::Unusual,
    stands_in: true,
    masked_by: &["gives-up-draining", "drain-goes-on"],
    event: Event::Lasts(A_DRAIN),
    headline: Headline::Is("it drains again at once, as if water were left"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// It drains before the first fill for as long as after a wash: water stood in the tub.
static BEGINS_FULL: Check = Check {
    id: "begins-full",
    subject: "drain",
    does: Kind::Drain,
    rank: 506,
    measure: |run| stood(run).into_iter().collect(),
    hold: |context| {
        let signs = context.signs(BEGINS_FULL.id).iter();
        signs.map(|s| BEGINS_FULL.lasted(context, s.at, s.value, WHOLE.get())).collect()
    },
    grade: Grade::Unusual,
    stands_in: true,
    event: Event::Lasts(A_DRAIN),
    headline: Headline::Is("water stood in the tub at the start: it drains for as long as after a wash"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// The drain at the very start, if it is as long as those after a wash.
fn stood(run: &Run) -> Option<Sign> {
    let all = &run.cycle.intervals;
    let first = all.first().filter(|i| i.kind == Kind::Drain && i.duration() >= WHOLE.get())?;
    let usual = weighted_median(whole_drains(all).into_iter().map(|n| (all[n].duration().0, 1.0)))?;
    let as_long = first.duration().0 >= (1.0 - ALIKE.get()) * usual && !run.cycle.cut_at_start;
    as_long.then(|| Sign::new(first.start, Quantity::Time(first.duration())))
}

#[cfg(test)]
mod tests {
    use super::super::made::{DRAIN, FILL, HEALTHY, HEAT, WASH, signs};
    use super::*;

    #[test]
    fn a_tub_that_stays_full_is_told_by_washing_on_without_water() {
        let full = [FILL, WASH, HEAT, DRAIN, WASH, DRAIN, WASH, DRAIN];
        let told = signs(&STAYS_FULL, &full);
        assert_eq!(
            told.iter().map(|s| (s.at, s.value)).collect::<Vec<_>>(),
            [(Seconds(960.0), Quantity::Count(2))]
        );
        assert_eq!(signs(&STAYS_FULL, &HEALTHY), []);
        // One water that is used again is what some programmes do.
        assert_eq!(signs(&STAYS_FULL, &[FILL, WASH, DRAIN, WASH, DRAIN, FILL, WASH, DRAIN]), []);
    }
}
