//! The heater: whether it heats, warms the water as it should, and stops.

use tubtrace_units::{Celsius, Load, Seconds};

use super::baseline::Baseline;
use super::check::{Check, Grade, Harm, Headline, Needs, Numbers};
use super::constants::READINGS;
use super::context::Context;
use super::event::Event;
use super::evidence::warmth::{leaves, was_warm};
use super::outside::{Outside, both};
use super::run::{Run, greatest};
use super::uncertainty::{Conformity, decide};
use super::widen::may_be_left_out;
use crate::alignment::{Phase, Place, Step, are_means, lasted, least_heat};
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign, of_water};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 5] =
    [&HEAT_CYCLES, &HEAT_AT_END, &NO_HEAT, &HOLD_UNHEATED, &HOLD_NOT_REACHED];

constants! { "checks.heater":
    /// The heater goes off and comes again no more often than this within a hold, where the chart says nothing.
    CYCLES_AT_MOST: f64 = 1.0, "times", Practice;
    /// The shortest event that shows a heater that goes off and on.
    OFF_AND_ON: Seconds = Seconds(10.0), "s", Practice;
    /// Heat that comes again within this long is the same hold.
    SAME_HOLD: Seconds = Seconds(120.0), "s", Guess;
    /// Heat at the very end for longer than this is no end of drying.
    AT_END: Seconds = Seconds(60.0), "s", Guess;
    /// Heat for less than this may be a reading between two levels.
    HEATED: Seconds = Seconds(10.0), "s", Guess;
    /// Between the end of a hold and the drain the water cools, and purges thin it: by no more than this.
    COOLS: Celsius = Celsius(8.0), "degrees C", Practice;
}

/// The heater goes off and on within a hold.
static HEAT_CYCLES: Check = Check {
    id: "heat-cycles",
    subject: "hold",
    does: Kind::Heat,
    rank: 270,
    measure: cycles,
    baselines: &[&CYCLES],
    hold: |context| {
        let usual = context.usual(&CYCLES);
        let worst = greatest(context.signs(HEAT_CYCLES.id)).filter(|s| s.value.number() > usual);
        let counted = |s: Sign| HEAT_CYCLES.counted(s.at, s.value.number() as usize, usual as u32);
        worst.map(counted).into_iter().collect()
    },
    masked_by: &["heat-in-bursts", "heat-flutters"],
    event: Event::Lasts(OFF_AND_ON),
    headline: Headline::Is("the heater goes off and on within a hold"),
    unusual_alone: true,
    needs: Needs::Machine,
    ..Check::PLAIN
};

/// How often the heater goes off and comes again within a hold.
static CYCLES: Baseline<f64> = Baseline {
    key: "heater_cycles",
    common: || CYCLES_AT_MOST.get(),
    learn: |good, common| {
        let most = good.most(HEAT_CYCLES.id, greatest);
        // Heat that is regulated in slices goes off as often as it has to heat for longer.
        common.max(most + f64::from(u8::from(good.few()))).max((good.room() * most).floor())
    },
};

/// In each run of holding and washing: how often the heater goes off and comes again.
fn cycles(run: &Run) -> Vec<Sign> {
    let all: Vec<&Interval> = run.of(&[Kind::Heat]).collect();
    // Whether it went off in a gap nobody knows.
    let gap = |a: &Interval, b: &Interval| {
        let all = &run.cycle.intervals;
        let first = all.partition_point(|i| i.start < a.end);
        let last = all.partition_point(|i| i.end <= b.start);
        all[first..last.max(first)].iter().any(|i| i.kind == Kind::Gap)
    };
    let holds = all.chunk_by(|a, b| b.start - a.end < SAME_HOLD.get() && b.water == a.water);
    let again = |hold: &[&Interval]| hold.windows(2).filter(|p| !gap(p[0], p[1])).count();
    holds.map(|hold| Sign::new(hold[0].start, Quantity::Count(again(hold) as u32))).collect()
}

/// The heater is on at the very end, and for too long.
static HEAT_AT_END: Check = Check {
    id: "heat-at-end",
    subject: "end",
    does: Kind::Dry,
    rank: 280,
    hold: |context| {
        let hot = |i: &&Interval| i.loads.has(Load::Heater) && i.duration() > AT_END.get();
        let last =
            context.cycle.intervals.last().filter(hot).filter(|i| i.kind == Kind::Dry || goes_on(context));
        // What a log or a hole in it cuts has not ended there, unless it is longer already than anything that the programme has.
        let last = last.filter(|_| !context.cycle.cut_at_end || goes_on(context));
        let lasts = |i: &Interval| Quantity::Time(i.duration());
        last.map(|i| HEAT_AT_END.lasted(context, i.start, lasts(i), Seconds(0.0)).of("end", i.kind))
            .into_iter()
            .collect()
    },
    only_with: &["too-long dry", "extra dry", "too-long heat", "extra heat", "missing drain"],
    event: Event::Itself,
    headline: Headline::Is("the heater is on at the very end"),
    harm: Harm::People,
    ..Check::PLAIN
};

/// Whether the heat at the very end has gone on for longer than the hold that it is of, or is of none.
fn goes_on(context: &Context) -> bool {
    let last = context.explanation.phases.len().saturating_sub(1);
    let foreseen = |step: &Step| match step {
        Step::Matched { place, phases } | Step::Unheated { place, phases, .. } if phases.contains(&last) => {
            let (whole, _) = lasted(Kind::Heat, &context.explanation.phases[phases.clone()]);
            context.expected(*place).lasts.is_none_or(|limits| whole <= limits.high)
        }
        _ => false,
    };
    !context.explanation.steps.iter().any(foreseen)
}

/// The heater draws nothing where it should heat.
static NO_HEAT: Check = Check {
    id: "no-heat",
    does: Kind::Heat,
    rank: 390,
    // A heater that ran in the water before or after these phases draws something.
    hold: |context| {
        let told = unheated(context).into_iter().filter(|(_, phases)| !heater_ran(context, phases));
        told.map(|(hold, phases)| cold(&NO_HEAT, context, hold, phases)).collect()
    },
    widen: may_be_left_out,
    chosen: &[Kind::Heat],
    event: Event::Interval,
    // Without heat nothing waits for a temperature, and heated drying is the fan alone. Common practice, no source.
    followed_by: &[
        "too-short wash",
        "too-long wash",
        "too-short heat",
        "too-long heat",
        "too-short dry",
        "too-long dry",
        "missing dry",
    ],
    headline: Headline::Of("no heat"),
    numbers: Numbers::Words("the heater draws nothing"),
    of_order_or_load: true,
    harm: Harm::Stops,
    ..Check::PLAIN
};

/// One hold of several is not heated, where readings are too far apart to show which water it is of: a control may leave it out, as one that finds
/// its water warm enough does.
static HOLD_UNHEATED: Check = Check {
    id: "hold-unheated",
    does: Kind::Heat,
    rank: 395,
    hold: |context| {
        let others_heat = |phases| heater_ran(context, phases) && !heats_elsewhere(context);
        let told = unheated(context).into_iter();
        let told = told.filter(|(_, phases)| are_means(context.cycle.resolution) && others_heat(*phases));
        told.map(|(hold, phases)| cold(&HOLD_UNHEATED, context, hold, phases)).collect()
    },
    widen: may_be_left_out,
    chosen: &[Kind::Heat],
    event: Event::Interval,
    grade: Grade::Unusual,
    headline: Headline::Of("not heated, though the other holds are"),
    numbers: Numbers::Without,
    of_order_or_load: true,
    ..Check::PLAIN
};

/// The holds that were not heated and whose water did not come out warm all the same, each with its phases. Those are left out that may lie before
/// or after what was seen, or, all of one water together, in readings that are lost.
fn unheated<'a>(context: &Context<'a>) -> Vec<(Place, &'a [Phase])> {
    let cold: Vec<_> = context.explanation.steps.iter().flat_map(|step| cold_holds(context, step)).collect();
    let water = |phases: &'a [Phase]| context.intervals(phases).next().map(|i| i.water);
    let least = |hold: &Place| context.expected(*hold).lasts.map_or(Seconds(0.0), |limits| limits.low);
    let fit = |longest: Seconds, own: &'a [Phase]| {
        let together = cold.iter().filter(|(_, phases)| water(phases) == water(own));
        together.map(|(hold, _)| least(hold)).sum::<Seconds>() <= longest
    };
    let may_be_lost =
        |phases: &'a [Phase]| context.lost_about(phases[0].start).is_some_and(|longest| fit(longest, phases));
    let seen = |phases: &'a [Phase]| !context.cut_about(phases[0].start) && !may_be_lost(phases);
    cold.iter().filter(|(_, phases)| seen(phases)).copied().collect()
}

/// The holds of a step that were not heated and whose water did not come out warm all the same, with its phases.
fn cold_holds<'a>(context: &Context<'a>, step: &Step) -> Vec<(Place, &'a [Phase])> {
    let Some((place, count, phases)) = step.covers() else { return Vec::new() };
    let phases = &context.explanation.phases[phases];
    if matches!(step, Step::Matched { .. }) && phases.iter().any(|a| a.kind == Kind::Heat) {
        return Vec::new();
    }
    let holds = (0..count).map(|i| Place { interval: place.interval + i, ..place });
    holds.filter(|h| must_heat(context, *h) && !was_warm(context, *h)).map(|hold| (hold, phases)).collect()
}

fn must_heat(context: &Context, hold: Place) -> bool {
    context.expected(hold).kind == Kind::Heat && !context.expected(hold).may
}

/// Whether the heater ran in the water of these phases, before or after them.
fn heater_ran<'a>(context: &Context<'a>, phases: &'a [Phase]) -> bool {
    let Some(water) = context.intervals(phases).next().map(|i| i.water) else { return false };
    of_water(&context.cycle.intervals, water).iter().any(|i| heats(context, i))
}

/// Whether the heater ran anywhere but in what is taken for a hold of the chart: that may be the hold that is looked for.
fn heats_elsewhere(context: &Context) -> bool {
    let holds = context.matched().filter(|(_, expected, _)| matches!(expected.kind, Kind::Heat | Kind::Dry));
    let taken: Vec<&Interval> = holds.flat_map(|(.., phases)| context.intervals(phases)).collect();
    let all = context.cycle.intervals.iter();
    all.filter(|i| heats(context, i)).any(|i| !taken.iter().any(|own| own.start == i.start))
}

/// Whether the heater runs in an interval, for longer than readings between two levels last.
fn heats(context: &Context, i: &Interval) -> bool {
    // A few at each edge are.
    let least = HEATED.get().max(context.surroundings.resolution * READINGS.get());
    let draws = i.loads.has(Load::Heater) && i.measured.amps >= least_heat(context.chart);
    draws && i.duration() > least
}

/// The heater drew nothing in a hold: measured is its time, none.
fn cold<'a>(check: &Check, context: &Context<'a>, hold: Place, phases: &'a [Phase]) -> Outside {
    let expected = context.expected(hold).lasts.map_or((None, None), |l| both(l, Quantity::Time));
    let doubt = Quantity::Time(context.surroundings.resolution);
    let outside = check.outside(phases[0].start, Quantity::Time(Seconds(0.0)), expected, doubt);
    outside.at(context, hold).sure(context.certainty(phases))
}

/// The water never came to the temperature of the hold.
static HOLD_NOT_REACHED: Check = Check {
    id: "hold-not-reached",
    does: Kind::Heat,
    rank: 420,
    hold: |context| {
        context.matched().filter_map(|(place, _, phases)| not_reached(context, place, phases)).collect()
    },
    widen: |chart, outside| outside.interval_of(chart).map(|hold| hold.until = None).is_some(),
    chosen: &[Kind::Heat],
    headline: Headline::Of("never warm enough"),
    ..Check::PLAIN
};

/// The water that leaves after a hold that came says how warm it was.
fn not_reached(context: &Context, hold: Place, phases: &[Phase]) -> Option<Outside> {
    let expected = context.expected(hold);
    if expected.kind == Kind::Heat && phases.iter().all(|a| a.kind != Kind::Heat) {
        return None;
    }
    let floor = expected.until? - COOLS.get();
    let settled = leaves(context, hold)?;
    let found = decide(settled.water.0, (Some(floor.0), None), settled.uncertainty.0);
    let Conformity::Below(_) = found else { return None };
    let limits = (Some(Quantity::Temperature(floor)), None);
    let doubt = Quantity::Temperature(settled.uncertainty);
    let measured = Quantity::Temperature(settled.water);
    let outside = HOLD_NOT_REACHED.outside(phases[0].start, measured, limits, doubt);
    Some(outside.at(context, hold))
}
