//! The wash pump: whether it runs steadily, and whether it runs at all.

use tubtrace_units::{Load, Seconds};

use super::baseline::Baseline;
use super::check::{Check, Harm, Headline, Needs, Numbers};
use super::constants::{PLAIN_FROM, STEADY};
use super::context::Context;
use super::event::Event;
use super::outside::Outside;
use super::run::{Run, middle};
use super::uncertainty::of_a_median;
use crate::alignment::Phase;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::weighted_quantile;

pub(super) static CHECKS: [&Check; 3] = [&UNSTEADY, &PUMP_STALLS, &PUMP_SILENT];

constants! { "checks.wash_pump":
    /// The spread of the pump's power over its median, where the chart says nothing: with water, it hardly wanders.
    WANDERS: f64 = 0.10, "part", Practice;
    /// The spread of the pump's power is from this quantile to the one that is as far from the other end.
    SPREAD_FROM: f64 = 0.1, "part", Guess;
    /// Expanded uncertainty of the spread of one wash, over what is usual.
    SPREAD_DOUBT: f64 = 0.2, "part", Guess;
    /// Ten readings of the shortest wash that is looked at make a spread: one that lasts as long as two of them.
    TENTH_OF_A_WASH: Seconds = Seconds(4.5), "s", Guess;

    /// A protector that opens: the shortest event that shows a pump that stalls.
    A_STALL: Seconds = Seconds(5.0), "s", Practice;
    /// A locked pump's protector opens within so long, and stays open for longer.
    A_TRY: Seconds = Seconds(15.0), "s", Practice;
    /// A pump that tries to start so often does not start.
    TRIES: usize = 3, "tries", Guess;

    /// Water has come after a fill of more than this.
    FILLED: Seconds = Seconds(15.0), "s", Guess;
    /// Nothing runs: a pause of more than this after a fill.
    NOTHING_RUNS: Seconds = Seconds(45.0), "s", Guess;

}

/// The wash pump's power wanders: it draws air.
static UNSTEADY: Check = Check {
    id: "unsteady",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 290,
    measure: |run| run.of(&[Kind::Wash]).filter_map(|wash| wander(run, wash)).collect(),
    baselines: &[&WANDER],
    hold: |context| {
        let usual = context.usual(&WANDER);
        let washes = with_lost_washes(context);
        let typical = middle(&washes).filter(|s| s.value.number() > usual);
        let doubt = SPREAD_DOUBT.get() * usual * of_a_median(washes.len());
        typical.map(|s| UNSTEADY.at_most(s, usual, doubt)).into_iter().collect()
    },
    event: Event::Lasts(TENTH_OF_A_WASH),
    headline: Headline::Is("wash pump power surges"),
    needs: Needs::Machine,
    ..Check::PLAIN
};

/// What was measured of each wash. One that was lost may have been as steady as any.
fn with_lost_washes(context: &Context) -> Vec<Sign> {
    let lost = |i: &&Interval| i.kind == Kind::Gap && i.duration() > STEADY.get();
    let lost = context.cycle.intervals.iter().filter(lost);
    let (start, end) = (context.cycle.cut_at_start, context.cycle.cut_at_end);
    let ends = [(start, context.cycle.start()), (end, context.cycle.end())];
    let ends = ends.into_iter().filter(|(cut, _)| *cut).map(|(_, at)| at);
    let steady = lost.map(|i| i.start).chain(ends).map(|at| Sign::new(at, Quantity::Part(0.0)));
    context.signs(UNSTEADY.id).iter().copied().chain(steady).collect()
}

/// The spread of its power.
static WANDER: Baseline<f64> = Baseline {
    key: "wander",
    common: || WANDERS.get(),
    learn: |good, common| good.over(common, UNSTEADY.id, middle),
};

/// The spread of the pump's power in a wash, from the tenth to the ninetieth percentile, over its median.
fn wander(run: &Run, wash: &Interval) -> Option<Sign> {
    if wash.duration() < STEADY.get() {
        return None;
    }
    let at = |part| weighted_quantile(run.inner(wash).map(|s| (s.power.0, s.duration().0)), part);
    let (low, middle, high) = (at(SPREAD_FROM.get())?, at(0.5)?, at(1.0 - SPREAD_FROM.get())?);
    Some(Sign::new(wash.start, Quantity::Part((high - low) / middle.max(1.0))))
}

/// The wash pump draws several times its current and does not run.
static PUMP_STALLS: Check = Check {
    id: "pump-stalls",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 320,
    hold: stalls,
    masked_by: &["heat-flutters"],
    event: Event::Lasts(A_STALL),
    headline: Headline::Is("the wash pump starts and does not run"),
    numbers: Numbers::Measured,
    of_order_or_load: true,
    harm: Harm::Stops,
    ..Check::PLAIN
};

/// A pump that stalls does so again and again: several times its current, or runs of seconds between pauses. Once or
/// twice may be anything.
fn stalls(context: &Context) -> Vec<Outside> {
    let phases = &context.explanation.phases;
    let rests = |i: Option<usize>| {
        i.and_then(|i| phases.get(i)).is_some_and(|a| a.kind == Kind::Pause && a.duration() > A_TRY.get())
    };
    let tries = |(i, a): &(usize, &Phase)| {
        let brief = a.kind == Kind::Wash
            && a.duration() < A_TRY.get()
            && rests(Some(i + 1))
            && rests(i.checked_sub(1));
        a.kind == Kind::Stall || brief
    };
    let tries: Vec<&Phase> = phases.iter().enumerate().filter(tries).map(|(_, a)| a).collect();
    let Some(first) = tries.first().filter(|_| tries.len() >= TRIES.get()) else { return Vec::new() };
    let certainty = context.certainty(std::slice::from_ref(*first));
    vec![PUMP_STALLS.came(first.start, tries.len(), 0).sure(certainty)]
}

/// Water has come, and the wash pump does not even try.
static PUMP_SILENT: Check = Check {
    id: "pump-silent",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 120,
    measure: silent,
    baselines: &[&SILENT_FILLS],
    hold: |context| {
        let signs = context.signs(PUMP_SILENT.id);
        // Who never washes in a whole run, where water is heard to come, has nothing that could be usual.
        let came = context.cycle.intervals.iter().any(|i| i.kind == Kind::Fill) && context.hears_flow();
        let never = came && !context.cycle.intervals.iter().any(|i| i.loads.has(Load::WashPump));
        let usual = if never { 0 } else { context.usual(&SILENT_FILLS) };
        let first = signs.first().filter(|_| signs.len() as u32 > usual);
        first.map(|s| PUMP_SILENT.counted(s.at, signs.len(), usual)).into_iter().collect()
    },
    // A tub that the drain pump keeps empty has nothing to wash with.
    masked_by: &["drain-goes-on"],
    event: Event::Lasts(A_TRY),
    headline: Headline::Is("water has come, and the wash pump does not run"),
    of_order_or_load: true,
    harm: Harm::Stops,
    ..Check::PLAIN
};

/// After how many fills it does not run: a control that lets the water in and soaks, or a pump that draws too little to be seen.
static SILENT_FILLS: Baseline<u32> = Baseline {
    key: "silent_fills",
    common: || 0,
    learn: |good, _| good.signs(PUMP_SILENT.id).map(|fills| fills.len() as u32).max().unwrap_or(0),
};

/// Water has come, and nothing runs until it leaves: the control thinks it washes. A pump that runs later in the same water does run: the
/// machine soaked, or somebody opened its door.
fn silent(run: &Run) -> Vec<Sign> {
    let all = &run.cycle.intervals;
    let fills = |i: &Interval| i.kind == Kind::Fill && i.duration() > FILLED.get();
    let nothing = |i: &Interval| i.kind == Kind::Pause && i.duration() > NOTHING_RUNS.get();
    // Beside an element a small pump is hard to tell from none.
    let heats = |i: &Interval| {
        i.loads.has(Load::Heater) && !i.loads.has(Load::WashPump) && i.certainty >= PLAIN_FROM.get()
    };
    let washed = |after: usize| {
        all[after..].iter().take_while(|i| i.kind != Kind::Drain).any(|i| i.loads.has(Load::WashPump))
    };
    let silent =
        |n: &usize| fills(&all[*n]) && (nothing(&all[n + 1]) || heats(&all[n + 1])) && !washed(n + 1);
    let at = (0..all.len().saturating_sub(1)).filter(silent).map(|n| all[n + 1].start);
    // The last fill of a group that is cut into two cycles by a long silence.
    let ends = all.last().is_some_and(fills) && !run.cycle.cut_at_end;
    at.chain(ends.then(|| run.cycle.end())).map(|at| Sign::new(at, Quantity::Count(1))).collect()
}

#[cfg(test)]
mod tests {
    use super::super::made::{DRAIN, FILL, HEALTHY, Part, WASH, signs};
    use super::*;

    #[test]
    fn a_pump_is_silent_that_does_not_run_until_the_water_leaves_and_not_one_that_waits() {
        let silent = |parts: &[Part]| signs(&PUMP_SILENT, parts).len();
        let nothing = (Kind::Pause, 180, 1.0);
        assert_eq!(silent(&HEALTHY), 0);
        // It soaks, or somebody opened the door while it filled.
        assert_eq!(silent(&[FILL, nothing, WASH, DRAIN]), 0);
        assert_eq!(silent(&[FILL, nothing, FILL, WASH, DRAIN]), 0);
        // What runs in the next water says nothing of this one.
        assert_eq!(silent(&[FILL, nothing, DRAIN, FILL, WASH, DRAIN]), 1);
    }
}
