//! The course of a cycle of which no programme is known: water comes, is washed with and warmed, and leaves. What is held here is so on every
//! machine, or is told as unusual.

use tubtrace_units::Seconds;

use super::check::{Check, Grade, Harm, Headline, Numbers};
use super::constants::{A_VALVE, AWAKE, SURE};
use super::context::Context;
use super::event::Event;
use super::outside::Outside;
use super::run::{Run, heats, washes};
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::weighted_median;

pub(super) static CHECKS: [&Check; 5] = [&NO_WATER, &ENDS_FULL, &ENDS_FILLING, &FILLS_SLOWLY, &NEVER_HEATS];

constants! { "checks.course":
    /// A valve that is open for longer than this, in a run that never washes, lets no water in. An ordinary fill takes one to two minutes.
    OPEN_IN_VAIN: Seconds = Seconds(120.0), "s", Practice;
    /// A control that waits for water has given up by then: what runs for longer is no valve, but a fan or a pump.
    OPEN_AT_MOST: Seconds = Seconds(1_800.0), "s", Practice;
    /// It is the most that the run does: this part of the time in which anything is on.
    MOSTLY: f64 = 0.5, "part", Guess;
    /// Who has washed for less than this in a whole run has not washed.
    WASHED: Seconds = Seconds(30.0), "s", Guess;
    /// Drying for longer than this comes after the last drain: nobody dries above water.
    DRIED: Seconds = Seconds(120.0), "s", Guess;
    /// Washing since the last drain that leaves water in the tub.
    WASHED_WITH: Seconds = Seconds(30.0), "s", Guess;
    /// A run whose next begins later than this has ended: a soak is shorter. The idle time that the log must show after it.
    ENDED: Seconds = Seconds(840.0), "s", Guess;
    /// The same where the control stays awake, as it does while something soaks.
    ENDED_AWAKE: Seconds = Seconds(3_600.0), "s", Guess;
    /// It is looked at from so long after the end on, for as long.
    AFTER: Seconds = Seconds(30.0), "s", Guess;
    /// The shortest drain: where readings are too coarse to show it, nobody can say that the water stayed.
    A_DRAIN: Seconds = Seconds(10.0), "s", Practice;
    /// What one valve draws in two fills differs by no more than this part.
    AS_THE_FILLS: f64 = 0.15, "part", Guess;
    /// How long one takes to fill, by no more than this.
    LONGER: f64 = 1.2, "factor", Guess;
    /// A fill that takes longer than this is unusual.
    SLOW_FILL: Seconds = Seconds(240.0), "s", Practice;
    /// Who has washed for longer than this has run a whole programme.
    WHOLE: Seconds = Seconds(900.0), "s", Practice;
    /// A programme of fewer waters may be one that only rinses.
    WATERS: u32 = 3, "waters", Practice;
    /// Nobody rinses for longer than this: it is a main wash, whatever follows.
    MAIN_WASH: Seconds = Seconds(2_400.0), "s", Practice;
    /// Heat for less than this is none.
    HEAT: Seconds = Seconds(60.0), "s", Guess;
}

/// The valve is on for minutes, and the machine never washes: no water comes. Where there are pickups, the water itself is heard.
static NO_WATER: Check = Check {
    id: "no-water",
    subject: "fill",
    does: Kind::Fill,
    rank: 115,
    measure: in_vain,
    hold: |context| {
        let signs = context.signs(NO_WATER.id).iter().filter(|_| !context.hears_flow());
        signs.map(|s| NO_WATER.lasted(context, s.at, s.value, OPEN_IN_VAIN.get())).collect()
    },
    harm: Harm::Stops,
    stands_in: true,
    // Means of minutes do not tell a valve from anything else.
    event: Event::Lasts(A_DRAIN),
    headline: Headline::Is("the fill valve is on for minutes, and the machine does not wash"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// The longest fill of a whole run that does not wash and does little else, if it is long. What draws as little as a valve and is taken for a
/// drain or a vent is one.
fn in_vain(run: &Run) -> Vec<Sign> {
    let all = &run.cycle.intervals;
    let lasts =
        |of: &dyn Fn(&&Interval) -> bool| -> Seconds { all.iter().filter(of).map(Interval::duration).sum() };
    let small = |i: &&Interval| !i.loads.is_empty() && i.measured.power < run.levels.standby + A_VALVE.get();
    let valve = |i: &&Interval| i.kind == Kind::Fill || small(i);
    // Some machines dry their crystals with heat before the first water.
    let rests = |i: &Interval| matches!(i.kind, Kind::Pause | Kind::Gap | Kind::Dry) && !small(&i);
    let mostly = lasts(&valve) > lasts(&|i| !rests(i)) * MOSTLY.get();
    let open = OPEN_IN_VAIN.get()..OPEN_AT_MOST.get();
    let long = all.iter().filter(valve).filter(|i| open.contains(&i.duration()));
    let longest = long.max_by(|a, b| a.duration().total_cmp(&b.duration()));
    let vain = mostly && lasts(&|i| washes(i)) < WASHED.get() && is_whole(run);
    let sign = |i: &Interval| Sign::new(i.start, Quantity::Time(i.duration()));
    longest.filter(|_| vain).map(sign).into_iter().collect()
}

fn is_whole(run: &Run) -> bool {
    !run.cycle.cut_at_start && !run.cycle.cut_at_end
}

/// The run ends with water in the tub.
static ENDS_FULL: Check = Check {
    id: "ends-full",
    subject: "end",
    rank: 315,
    hold: |context| ends_full(context).into_iter().collect(),
    harm: Harm::Stops,
    stands_in: true,
    masked_by: &[
        "never-drains",
        "drain-goes-on",
        "drain-stays-on",
        "pump-silent",
        "pump-stalls",
        "pump-tries",
        "pump-jams",
        "gives-up-draining",
        "log-ends",
        "current-gone",
        "heat-in-bursts",
        "heats-too-long",
    ],
    event: Event::Lasts(A_DRAIN),
    headline: Headline::Is("it stops with water in the tub"),
    numbers: Numbers::Without,
    ..Check::PLAIN
};

/// Water came and was washed with after the last drain, and nothing follows. It is as sure as the least sure of those intervals: that one
/// may have been the drain. What a control does that gave up at a drain is told as that.
fn ends_full(context: &Context) -> Option<Outside> {
    let cycle = context.cycle;
    let awake = stays_awake(context);
    let ended = if awake { ENDED_AWAKE.get() } else { ENDED.get() };
    if cycle.cut_at_end || cycle.record.until - cycle.end() < ended {
        return None;
    }
    let all = &cycle.intervals;
    // What runs for seconds after a fill, and before anything is washed with it, lets no water out.
    let empties = |n: usize| {
        let since = all[..n].rsplit(|i| i.kind == Kind::Fill).next().unwrap_or(&[]);
        all[n].kind == Kind::Drain && (all[n].duration() > A_DRAIN.get() * 2.0 || since.iter().any(washes))
    };
    let last = &all[(0..all.len()).rev().find(|n| empties(*n)).map_or(0, |n| n + 1)..];
    let time =
        |of: &dyn Fn(&&Interval) -> bool| last.iter().filter(of).map(Interval::duration).sum::<Seconds>();
    let filled = time(&|i| i.kind == Kind::Fill);
    if filled == Seconds(0.0) || time(&|i| washes(i)) < WASHED_WITH.get() {
        return None;
    }
    // What came before the washing cannot have been the drain after it.
    let from = last.iter().position(washes)?;
    let within = &last[from..];
    let hides = |n: usize| {
        let goes_on = n > 0 && washes(&within[n - 1]) && within.get(n + 1).is_some_and(washes);
        // While readings were lost no water was let out and another let in, if that takes longer.
        within[n].kind == Kind::Gap && !(goes_on && within[n].duration() < filled + A_DRAIN.get() * 2.0)
    };
    let told = |n: &usize| match within[*n].kind {
        Kind::Gap => hides(*n),
        Kind::Pause => false,
        _ => within[*n].duration() > A_DRAIN.get(),
    };
    let certainty = (0..within.len()).filter(told).map(|n| within[n].certainty).fold(SURE.get(), f64::min);
    // Who dries thinks that the tub is empty: that run was not broken off.
    let dried: Seconds = last[from..].iter().filter(|i| i.kind == Kind::Dry).map(Interval::duration).sum();
    let does = match last.last()?.kind {
        _ if dried > DRIED.get() => Kind::Dry,
        _ if awake => Kind::Drain,
        // What ends in the middle of something else is one answer, whatever that is.
        Kind::Dry => Kind::Pause,
        kind => kind,
    };
    Some(ENDS_FULL.came(cycle.end(), 1, 0).of("end", does).sure(certainty))
}

/// The run ends as the valve opens for another water. What opens a vent may draw just as much.
static ENDS_FILLING: Check = Check {
    id: "ends-filling",
    subject: "end",
    does: Kind::Fill,
    rank: 507,
    measure: |run| ends_filling(run).into_iter().collect(),
    hold: |context| {
        let signs = context.signs(ENDS_FILLING.id).iter();
        let own = |s: &Sign| {
            let ended = context.cycle.record.until - context.cycle.end() > ENDED.get();
            ended.then(|| ENDS_FILLING.came(s.at, 1, 0))
        };
        signs.filter_map(own).collect()
    },
    grade: Grade::Unusual,
    harm: Harm::Stops,
    stands_in: true,
    masked_by: &["no-water", "log-ends", "current-gone"],
    event: Event::Lasts(A_DRAIN),
    headline: Headline::Is("it stops as it begins to take water"),
    numbers: Numbers::Without,
    ..Check::PLAIN
};

/// The last thing that is on, after a drain, if it draws what the valve drew in all fills before, and is on for no longer.
fn ends_filling(run: &Run) -> Option<Sign> {
    let (last, before) = run.cycle.intervals.split_last()?;
    let fills = || before.iter().filter(|i| i.kind == Kind::Fill && i.duration() > A_DRAIN.get());
    let longest = fills().map(Interval::duration).max_by(Seconds::total_cmp)?;
    let above = |i: &Interval| (i.measured.power - run.levels.standby).0;
    let same = |i: &Interval| (above(i) - above(last)).abs() < AS_THE_FILLS.get() * above(i);
    let after = before.last().is_some_and(|i| i.kind == Kind::Drain);
    let valve = !last.loads.is_empty() && last.duration() < longest * LONGER.get() && fills().all(same);
    let is = after && valve && !run.cycle.cut_at_end;
    is.then(|| Sign::new(last.start, Quantity::Count(1)))
}

/// Whether the control goes on drawing more than it does while idle: it has its mains, and gave up by itself.
fn stays_awake(context: &Context) -> bool {
    let record = &context.cycle.record;
    let Some(levels) = record.signatures else { return false };
    let end = context.cycle.end() + AFTER.get();
    let after = record.between(end, end + AFTER.get()).map(|s| (s.power.0, s.duration().0));
    weighted_median(after).is_some_and(|power| power > (levels.standby + AWAKE.get()).0)
}

/// A fill takes minutes. Some supplies are thin, and some machines slow on purpose.
static FILLS_SLOWLY: Check = Check {
    id: "fills-slowly",
    subject: "fill",
    does: Kind::Fill,
    rank: 500,
    measure: |run| {
        // What draws as little as a valve and is taken for a drain waits for water as well.
        let small = |i: &Interval| i.measured.power < run.levels.standby + A_VALVE.get();
        let valve = |i: &&Interval| i.kind == Kind::Fill || (i.kind == Kind::Drain && small(i));
        let all = run.cycle.intervals.iter().filter(valve);
        let longest = all.max_by(|a, b| a.duration().total_cmp(&b.duration()));
        let slow = |i: &&Interval| i.duration() > SLOW_FILL.get() && is_whole(run);
        longest.filter(slow).map(|i| Sign::new(i.start, Quantity::Time(i.duration()))).into_iter().collect()
    },
    hold: |context| {
        let signs = context.signs(FILLS_SLOWLY.id).iter();
        signs.map(|s| FILLS_SLOWLY.lasted(context, s.at, s.value, SLOW_FILL.get())).collect()
    },
    grade: Grade::Unusual,
    stands_in: true,
    masked_by: &["no-water", "no-supply-flow"],
    // Means of minutes do not tell a valve from anything else.
    event: Event::Lasts(A_DRAIN),
    headline: Headline::Is("a fill takes minutes"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// A whole programme without heat. A cold programme, or a machine that is fed hot and dries without heat, has none.
static NEVER_HEATS: Check = Check {
    id: "never-heats",
    subject: "heat",
    does: Kind::Heat,
    rank: 510,
    hold: |context| {
        let all = &context.cycle.intervals;
        let time =
            |of: &dyn Fn(&&Interval) -> bool| all.iter().filter(of).map(Interval::duration).sum::<Seconds>();
        let (washed, heated) = (time(&|i| washes(i)), time(&|i| heats(i)));
        let waters = all.last().map_or(0, |i| i.water);
        let whole = !context.cycle.cut_at_start && !context.cycle.cut_at_end;
        let programme = (waters >= WATERS.get() && washed > WHOLE.get()) || washed > MAIN_WASH.get();
        let never = whole && programme && heated < HEAT.get();
        let outside = || {
            let limits = (Some(Quantity::Time(HEAT.get())), None);
            let doubt = Quantity::Time(context.surroundings.resolution);
            NEVER_HEATS.outside(context.cycle.start(), Quantity::Time(heated), limits, doubt)
        };
        never.then(outside).into_iter().collect()
    },
    grade: Grade::Unusual,
    harm: Harm::Stops,
    stands_in: true,
    masked_by: &["drain-goes-on"],
    headline: Headline::Is("a whole programme without heat"),
    numbers: Numbers::Without,
    ..Check::PLAIN
};

#[cfg(test)]
mod tests {
    use super::super::made::{DRAIN, FILL, HEALTHY, HEAT, WASH, signs};
    use super::*;

    #[test]
    fn a_run_that_stops_as_the_valve_opens_is_told_and_one_that_ends_with_a_vent_is_not() {
        let stops = [FILL, WASH, HEAT, DRAIN, FILL, WASH, DRAIN, (Kind::Fill, 20, 16.0)];
        let told = signs(&ENDS_FILLING, &stops);
        assert_eq!(told.iter().map(|s| s.at).collect::<Vec<_>>(), [Seconds(1_440.0)]);
        assert_eq!(signs(&ENDS_FILLING, &HEALTHY), []);
        let vents = [FILL, WASH, HEAT, DRAIN, FILL, WASH, DRAIN, (Kind::Dry, 20, 9.0)];
        assert_eq!(signs(&ENDS_FILLING, &vents), []);
    }
}
