//! The element of a machine of which no programme is known: whether it is switched as a control switches it, and draws what its plate says.

use tubtrace_units::{Seconds, Watts};

use super::check::{Check, Grade, Harm, Headline, Numbers};
use super::context::Context;
use super::event::Event;
use super::outside::Outside;
use super::run::{Run, heats, washes};
use crate::alignment::are_means;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 6] =
    [&HEAT_FLUTTERS, &HEAT_IN_BURSTS, &HEATS_ON, &HEATS_BETWEEN, &FAR_BELOW_PLATE, &BELOW_PLATE];

constants! { "checks.element":
    /// A contact that chatters opens for less than this; a thermostat for longer.
    OPENS: Seconds = Seconds(15.0), "s", Practice;
    /// A contact that opens so often in one run chatters.
    FLUTTERS: usize = 4, "times", Guess;
    /// A control that switches its element in slices does so evenly: from one time on to the next is never more than this many times as long as
    /// another time.
    UNEVEN: f64 = 2.0, "factor", Guess;
    /// The shortest event that shows a contact that chatters.
    A_FLUTTER: Seconds = Seconds(3.0), "s", Practice;
    /// An element that its thermostat stops again and again is on for less than this each time.
    A_BURST: Seconds = Seconds(35.0), "s", Guess;
    /// And off for at least so long in between.
    COOLS_FOR: Seconds = Seconds(60.0), "s", Guess;
    /// So many such bursts in one run.
    BURSTS: usize = 5, "times", Guess;
    /// In water, where a narrow thermostat does much the same, so many.
    BURSTS_IN_WATER: usize = 8, "times", Guess;
    /// What an element draws for seconds differs from what it draws for minutes by no more than this part.
    SAME_ELEMENT: f64 = 0.12, "part", Guess;
    /// So many of them in an empty tub, and nobody asked for heat.
    BARE: usize = 3, "times", Guess;
    /// No control leaves a bare element of more than this on for long; those that dry with heat have less.
    STRONG: Watts = Watts(1_300.0), "W", Practice;
    /// As long as that.
    LEFT_ON: Seconds = Seconds(1_200.0), "s", Practice;
    /// Nobody dries with heat for longer than this after the last water, with rests or without.
    DRIES_AT_MOST: Seconds = Seconds(3_600.0), "s", Practice;
    /// Heat at the very end is so many times as long as any before it.
    BY_FAR: f64 = 2.0, "factor", Guess;
    /// An appliance that heats takes at least this part of the power on its plate, at the volts on its plate.
    OF_PLATE: f64 = 0.9, "part", Source("IEC 60335-1, 10.1, table 1: heating appliances, -10 % (from memory)");
    /// The supply has at least this part of its nominal volts.
    OF_VOLTS: f64 = 0.9, "part", Source("IEC 60038, table 1: 230 V +-10 %");
    /// Expanded uncertainty of what is drawn, over the power on the plate.
    PLATE_DOUBT: f64 = 0.03, "part", Guess;
    /// The longest stretch of heat is looked at, and it lasts for at least this long.
    STEADY_HEAT: Seconds = Seconds(45.0), "s", Guess;
}

/// How long the element is on each time, with how long it was off before.
fn times_on<'a>(run: &Run<'a>) -> Vec<(Seconds, &'a Interval, Seconds)> {
    let all: Vec<&Interval> = run.cycle.intervals.iter().filter(|i| heats(i)).collect();
    let joined: Vec<&[&Interval]> = all.chunk_by(|a, b| a.end == b.start).collect();
    let lasts = |group: &[&Interval]| group[group.len() - 1].end - group[0].start;
    let off = |n: usize| match n.checked_sub(1) {
        Some(before) => joined[n][0].start - joined[before][joined[before].len() - 1].end,
        None => Seconds(f64::INFINITY),
    };
    let times = joined
        .iter()
        .enumerate()
        .map(|(n, group)| (off(n), *group.last().unwrap_or(&group[0]), lasts(group)));
    times.collect()
}

/// The element goes off and on for seconds, unevenly: a contact that does not hold.
static HEAT_FLUTTERS: Check = Check {
    id: "heat-flutters",
    subject: "element",
    does: Kind::Heat,
    rank: 275,
    measure: |run| {
        let times = times_on(run);
        let again: Vec<_> = times.iter().filter(|(off, ..)| *off < OPENS.get()).collect();
        let mut periods: Vec<f64> = again.iter().map(|(off, _, on)| off.0 + on.0).collect();
        periods.sort_by(f64::total_cmp);
        let at = |tenth: usize| periods.get(periods.len() * tenth / 10).copied().unwrap_or(0.0);
        let uneven = at(9) > UNEVEN.get() * at(1);
        let sign = |(_, first, _): &(Seconds, &Interval, Seconds)| {
            Sign::new(first.start, Quantity::Count(again.len() as u32))
        };
        again
            .first()
            .filter(|_| uneven && again.len() >= FLUTTERS.get())
            .map(|a| sign(a))
            .into_iter()
            .collect()
    },
    hold: |context| counted(context, &HEAT_FLUTTERS),
    stands_in: true,
    event: Event::Lasts(A_FLUTTER),
    headline: Headline::Is("the element goes off and on for seconds at a time"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// What was counted, where nothing is to be counted.
fn counted(context: &Context, check: &'static Check) -> Vec<Outside> {
    let signs = context.signs(check.id).iter();
    signs.map(|s| check.came(s.at, s.value.number() as usize, 0)).collect()
}

/// The element is on for seconds and off for minutes, again and again: its thermostat stops it. In an empty tub nobody asked for heat.
static HEAT_IN_BURSTS: Check = Check {
    id: "heat-in-bursts",
    subject: "element",
    does: Kind::Heat,
    rank: 276,
    measure: |run| {
        let times = times_on(run);
        let longest = times.iter().max_by(|a, b| a.2.total_cmp(&b.2));
        // A pump that stalls may draw as much as an element, and not just what this one does.
        let own = |i: &Interval| {
            let beside = |level: Watts| (i.measured.power - level).0.abs() < SAME_ELEMENT.get() * level.0;
            let bare = run.levels.heater.is_some_and(|h| beside(h.dry));
            bare || longest.is_some_and(|(_, hold, on)| *on > A_BURST.get() && beside(hold.measured.power))
        };
        let burst = |(off, i, on): &&(Seconds, &Interval, Seconds)| {
            *off > COOLS_FOR.get() && *on < A_BURST.get() && own(i)
        };
        let bursts: Vec<_> = times.iter().filter(burst).collect();
        let bare = bursts.iter().filter(|(_, i, _)| i.kind == Kind::Dry).count() >= BARE.get();
        let about = if bare { Kind::Dry.word() } else { "" };
        let sign = |(_, first, _): &(Seconds, &Interval, Seconds)| Sign {
            about,
            ..Sign::new(first.start, Quantity::Count(bursts.len() as u32))
        };
        let least = if bare { BURSTS.get() } else { BURSTS_IN_WATER.get() };
        let first = bursts.first().filter(|_| bursts.len() >= least);
        first.map(|burst| sign(burst)).into_iter().collect()
    },
    hold: |context| {
        let does = |s: &Sign| if s.about.is_empty() { Kind::Heat } else { Kind::Dry };
        let of = |s: &Sign| {
            HEAT_IN_BURSTS.came(s.at, s.value.number() as usize, 0).of(HEAT_IN_BURSTS.subject, does(s))
        };
        context.signs(HEAT_IN_BURSTS.id).iter().map(of).collect()
    },
    harm: Harm::People,
    stands_in: true,
    event: Event::Lasts(A_FLUTTER),
    headline: Headline::Is("the element is stopped again and again after seconds"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// A strong element is on in an empty tub for longer than anything is dried.
static HEATS_ON: Check = Check {
    id: "heats-on",
    subject: "element",
    does: Kind::Dry,
    rank: 277,
    measure: |run| {
        let dry = |i: &&Interval| heats(i) && i.kind == Kind::Dry && i.measured.power > STRONG.get();
        let all = &run.cycle.intervals;
        let stretches = all.chunk_by(|a, b| dry(&a) == dry(&b)).filter(|s| dry(&&s[0]));
        let long =
            stretches.map(|s| (s[0].start, s[s.len() - 1].end - s[0].start)).filter(|s| s.1 > LEFT_ON.get());
        let goes_on = dries(all).filter(|s| s.1 > DRIES_AT_MOST.get());
        long.chain(goes_on)
            .chain(ends_hot(run))
            .take(1)
            .map(|(at, lasts)| Sign::new(at, Quantity::Time(lasts)))
            .collect()
    },
    hold: |context| {
        let signs = context.signs(HEATS_ON.id).iter();
        signs.map(|s| HEATS_ON.lasted(context, s.at, s.value, LEFT_ON.get())).collect()
    },
    harm: Harm::People,
    stands_in: true,
    headline: Headline::Is("the element stays on in an empty tub"),
    ..Check::PLAIN
};

/// From when on the element is on in the empty tub after the last water, with rests, and until how long after that.
fn dries(all: &[Interval]) -> impl Iterator<Item = (Seconds, Seconds)> {
    let after = all.iter().rposition(washes).map_or(0, |n| n + 1);
    let dry = || all[after..].iter().filter(|i| heats(i) && i.kind == Kind::Dry);
    let ends = (dry().count() >= BARE.get()).then(|| dry().next().zip(dry().next_back())).flatten();
    ends.map(|(first, last)| (first.start, last.end - first.start)).into_iter()
}

/// The heat in the empty tub at the very end, from when on and for how long, if it begins anew after drying has gone on without heat, and is the
/// longest by far: as the tub warms, a control that dries heats for less each time.
fn ends_hot(run: &Run) -> Option<(Seconds, Seconds)> {
    let all = &run.cycle.intervals;
    let after = all.iter().rposition(washes).map_or(0, |n| n + 1);
    let (last, before) = all[after..].split_last()?;
    let dry = |i: &&Interval| i.kind == Kind::Dry && heats(i);
    let longest = before.iter().filter(dry).map(Interval::duration).max_by(Seconds::total_cmp)?;
    let cool = before.last().is_some_and(|i| !heats(i) && i.duration() > COOLS_FOR.get());
    let lasts = last.duration();
    let hot = dry(&last) && lasts > LEFT_ON.get() && lasts > longest * BY_FAR.get();
    (hot && cool).then_some((last.start, lasts))
}

/// The element is on in an empty tub before the last water: few machines dry there.
static HEATS_BETWEEN: Check = Check {
    id: "heats-between",
    subject: "element",
    does: Kind::Dry,
    rank: 515,
    measure: |run| {
        let all = &run.cycle.intervals;
        let last = all.iter().rposition(|i| i.kind == Kind::Fill).unwrap_or(0);
        let dry = |i: &&Interval| heats(i) && i.kind == Kind::Dry && i.duration() > A_BURST.get();
        all[..last].iter().filter(dry).map(|i| Sign::new(i.start, Quantity::Time(i.duration()))).collect()
    },
    hold: |context| {
        // Means of minutes show no water, and so nothing that is between two.
        let shows_water = !are_means(context.cycle.resolution);
        let signs = context.signs(HEATS_BETWEEN.id).iter().filter(|_| shows_water);
        signs.map(|s| HEATS_BETWEEN.lasted(context, s.at, s.value, Seconds(0.0))).collect()
    },
    grade: Grade::Unusual,
    stands_in: true,
    masked_by: &["dries-early"],
    headline: Headline::Is("the element is on between two waters"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// The machine takes so little while it heats that no mains is low enough for it.
static FAR_BELOW_PLATE: Check = Check {
    id: "far-below-plate",
    subject: "element",
    does: Kind::Heat,
    rank: 278,
    hold: |context| beside_plate(context, &FAR_BELOW_PLATE, |part, least| part < least),
    stands_in: true,
    // What is heated in a tub without water is heated without the pump.
    masked_by: &["drain-goes-on"],
    headline: Headline::Is("while it heats it draws far less than its plate says"),
    ..Check::PLAIN
};

/// The machine takes less while it heats than its plate says: part of the element may be gone, or the mains is low.
static BELOW_PLATE: Check = Check {
    id: "below-plate",
    subject: "element",
    does: Kind::Heat,
    rank: 520,
    hold: |context| beside_plate(context, &BELOW_PLATE, |part, least| part < OF_PLATE.get() && part >= least),
    grade: Grade::Unusual,
    stands_in: true,
    masked_by: &["drain-goes-on", "draws-less"],
    headline: Headline::Is("while it heats it draws less than its plate says"),
    ..Check::PLAIN
};

/// What is drawn in the longest hold, as a part of the power on the plate; `outside` also hears what part is the least at the lowest volts:
/// the power of a resistance goes with their square, and that of a clamp's amperes at nominal volts with them.
fn beside_plate(context: &Context, check: &'static Check, outside: fn(f64, f64) -> bool) -> Vec<Outside> {
    let holds =
        context.cycle.intervals.iter().filter(|i| i.kind == Kind::Heat && i.duration() > STEADY_HEAT.get());
    let longest = holds.max_by(|a, b| a.duration().total_cmp(&b.duration()));
    let (Some(plate), Some(hold)) = (context.surroundings.plate, longest) else { return Vec::new() };
    let volts = if plate.by_current { OF_VOLTS.get() } else { OF_VOLTS.get() * OF_VOLTS.get() };
    let part = hold.measured.amps / plate.current + PLATE_DOUBT.get();
    let (measured, doubt) = (Quantity::Current(hold.measured.amps), plate.current * PLATE_DOUBT.get());
    let least = Quantity::Current(plate.current * OF_PLATE.get());
    let found = check.outside(hold.start, measured, (Some(least), None), Quantity::Current(doubt));
    if outside(part, OF_PLATE.get() * volts) { vec![found.sure(hold.certainty)] } else { Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::super::made::{HEALTHY, Part, signs};
    use super::*;

    fn after(drying: &[Part]) -> Vec<Seconds> {
        let parts = [&HEALTHY[..14], drying].concat();
        signs(&HEATS_ON, &parts).iter().map(|s| Seconds(s.value.number())).collect()
    }

    #[test]
    fn heat_that_goes_on_in_an_empty_tub_is_told_and_drying_is_not() {
        assert_eq!(after(&[(Kind::Dry, 1_500, 2_000.0)]), [Seconds(1_500.0)]);
        assert_eq!(after(&HEALTHY[14..]), []);
        // A weak element dries for longer, and with rests.
        assert_eq!(after(&[(Kind::Dry, 1_500, 750.0), (Kind::Dry, 300, 9.0), (Kind::Dry, 600, 750.0)]), []);
    }

    #[test]
    fn heat_that_begins_anew_after_drying_and_stays_is_told_and_a_short_one_is_not() {
        let then = |lasts| [(Kind::Dry, 345, 750.0), (Kind::Dry, 324, 9.0), (Kind::Dry, lasts, 750.0)];
        assert_eq!(after(&then(1_800)), [Seconds(1_800.0)]);
        assert_eq!(after(&then(600)), []);
    }
}
