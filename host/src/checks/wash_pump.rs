//! The wash pump: how it starts, whether it runs steadily, and what it stops for.

use tubtrace_units::{Load, Seconds};

use super::baseline::Baseline;
use super::check::{Check, Grade, Harm, Headline, Needs, Numbers};
use super::constants::{A_VALVE, PLAIN_FROM, STEADY};
use super::context::Context;
use super::event::Event;
use super::outside::Outside;
use super::run::{PumpStart, Run, middle, washes};
use crate::alignment::Phase;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::weighted_quantile;

pub(super) static CHECKS: [&Check; 8] =
    [&SLOW_START, &CHATTERS, &DROPS_OUT, &DIPS, &OPENED, &UNSTEADY, &PUMP_STALLS, &PUMP_SILENT];

constants! { "checks.wash_pump":
    /// The wash pump is up to speed within this, where the chart says nothing: a motor takes well under a second.
    UP_TO_SPEED: Seconds = Seconds(1.1), "s", Practice;
    /// Readings that are further apart than this show a surge as long as two of them.
    FINE: Seconds = Seconds(0.5), "s", Guess;
    /// A motor that starts: the shortest event that says how it does, or that its relay chatters.
    A_START: Seconds = Seconds(2.0), "s", Practice;
    /// Of fewer starts than this nobody knows which is typical.
    STARTS: usize = 3, "starts", Practice;
    /// A relay goes off and on no more often than this as it closes, where the chart says nothing: it bounces for milliseconds, which no
    /// window shows.
    SWITCHES: f64 = 2.0, "times", Practice;

    /// The wash pump that stops for a moment so often stops again and again.
    AGAIN: usize = 2, "stops", Guess;
    /// Of few good cycles, the wash pump may stop this many times more than in any of them.
    STOPS_MORE_THAN_FEW: u32 = 2, "stops", Guess;
    /// A contact that opens: the shortest event that shows a pump that stops.
    A_STOP: Seconds = Seconds(5.0), "s", Practice;
    /// A dip of the mains: readings further apart than half of this fall out by themselves now and then, which looks the same.
    A_DIP: Seconds = Seconds(1.0), "s", Practice;
    /// Stops shorter than this are a dip or a loose contact, longer ones somebody at the door.
    SHORT_STOP: Seconds = Seconds(32.0), "s", Fitted;
    /// Somebody at the door: the shortest event that shows it beside what the control pauses for by itself.
    AT_THE_DOOR: Seconds = Seconds(10.0), "s", Practice;
    /// Stops of the wash pump up to this long are those of a relay that chatters, where one does.
    CHATTER: Seconds = Seconds(2.0), "s", Guess;

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

/// The wash pump takes seconds to come up to speed.
static SLOW_START: Check = Check {
    id: "slow-start",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 200,
    measure: |run| {
        let starts = run.pump_starts();
        let typical = starts.len() >= STARTS.get();
        let sign = |start: &PumpStart| Sign::new(start.at, Quantity::Time(start.surge));
        starts.iter().filter(|_| typical).map(sign).collect()
    },
    baselines: &[&START],
    hold: |context| {
        let usual = by_readings(context);
        let typical = middle(context.signs(SLOW_START.id)).filter(|s| s.value.number() > usual.0);
        typical.map(|s| SLOW_START.lasted(context, s.at, s.value, usual)).into_iter().collect()
    },
    masked_by: &["pump-stalls"],
    event: Event::Lasts(A_START),
    headline: Headline::Is("the wash pump takes long to come up to speed"),
    of_order_or_load: true,
    unusual_alone: true,
    needs: Needs::Machine,
    harm: Harm::Little,
    ..Check::PLAIN
};

/// What is usual of it; where a chart does not say, as well as readings show it.
fn by_readings(context: &Context) -> Seconds {
    let (usual, reading) = (context.usual(&START), context.surroundings.resolution);
    let coarse = usual == UP_TO_SPEED.get() && reading > FINE.get();
    if coarse { usual + reading * 2.0 } else { usual }
}

/// How long the wash pump takes to come up to speed.
static START: Baseline<Seconds> = Baseline {
    key: "start_s",
    common: || UP_TO_SPEED.get(),
    learn: |good, common| {
        let coarse = if good.resolution > FINE.get() { 2.0 * good.resolution.0 } else { 0.0 };
        Seconds(good.over(common.0, SLOW_START.id, middle) + coarse)
    },
};

/// The wash pump's relay goes off and on as it closes.
static CHATTERS: Check = Check {
    id: "chatters",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 190,
    measure: |run| {
        run.pump_starts().iter().map(|start| Sign::new(start.at, Quantity::Count(start.switched))).collect()
    },
    baselines: &[&SWITCHING],
    hold: |context| {
        let most = context.usual(&SWITCHING) as u32;
        chatter(context)
            .map(|s| CHATTERS.counted(s.at, s.value.number() as usize, most))
            .into_iter()
            .collect()
    },
    event: Event::Lasts(A_START),
    headline: Headline::Is("the wash pump goes off and on as it starts"),
    of_order_or_load: true,
    unusual_alone: true,
    needs: Needs::Machine,
    harm: Harm::Little,
    ..Check::PLAIN
};

/// How often it goes off and on in its first seconds.
static SWITCHING: Baseline<f64> = Baseline {
    key: "switching",
    common: || SWITCHES.get(),
    learn: |good, common| common.max(good.most(CHATTERS.id, middle) + 1.0),
};

/// A typical start of a pump whose relay chatters.
fn chatter(context: &Context) -> Option<Sign> {
    middle(context.signs(CHATTERS.id)).filter(|s| s.value.number() > context.usual(&SWITCHING))
}

/// The wash pump stops for seconds, again and again.
static DROPS_OUT: Check = Check {
    id: "drops-out",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 170,
    measure: stops,
    baselines: &[&STOPS],
    hold: |context| {
        let (short, usual) = (short_stops(context), context.usual(&STOPS));
        let again = short.len() >= AGAIN.get() && short.len() as u32 > usual;
        again.then(|| DROPS_OUT.counted(short[0].at, short.len(), usual)).into_iter().collect()
    },
    masked_by: &["pump-stalls", "pump-jams"],
    event: Event::Lasts(A_STOP),
    headline: Headline::Is("the wash pump stops again and again"),
    unusual_alone: true,
    needs: Needs::Machine,
    ..Check::PLAIN
};

/// How often the wash pump stands still for less than half a minute between two washes.
static STOPS: Baseline<u32> = Baseline {
    key: "stops",
    common: || 0,
    learn: |good, _| {
        let counts =
            good.signs(DROPS_OUT.id).map(|stops| stops.iter().filter(|s| is_short(s)).count() as u32);
        let most = counts.max().unwrap_or(0);
        most + if good.few() { STOPS_MORE_THAN_FEW.get() } else { u32::from(most > 0) }
    },
};

/// Everything stops for seconds, once, and goes on: a dip of the mains.
static DIPS: Check = Check {
    id: "dips",
    subject: "wash",
    does: Kind::Wash,
    rank: 160,
    hold: |context| match short_stops(context)[..] {
        [stop] if context.usual(&STOPS) == 0 => vec![DIPS.lasted(context, stop.at, stop.value, Seconds(0.0))],
        _ => Vec::new(),
    },
    masked_by: &["pump-stalls"],
    event: Event::Lasts(A_DIP),
    headline: Headline::Is("everything stops for a moment, and goes on"),
    unusual_alone: true,
    needs: Needs::Machine,
    harm: Harm::Little,
    ..Check::PLAIN
};

/// Everything stops in the middle of a wash for a while, once, and goes on: somebody at the door.
static OPENED: Check = Check {
    id: "opened",
    subject: "wash",
    does: Kind::Wash,
    rank: 180,
    hold: |context| {
        let long: Vec<&Sign> = context.signs(DROPS_OUT.id).iter().filter(|s| !is_short(s)).collect();
        match long[..] {
            [stop] if context.usual(&STOPS) == 0 && short_stops(context).is_empty() => {
                vec![OPENED.lasted(context, stop.at, stop.value, Seconds(0.0))]
            }
            _ => Vec::new(),
        }
    },
    widen: |chart, _| {
        let usual = STOPS.by(&chart.baselines).max(1);
        STOPS.say(&mut chart.baselines, usual);
        true
    },
    grade: Grade::Unusual,
    masked_by: &["pump-stalls"],
    event: Event::Lasts(AT_THE_DOOR),
    headline: Headline::Is("everything stops in the middle, and goes on"),
    unusual_alone: true,
    needs: Needs::Machine,
    harm: Harm::Little,
    ..Check::PLAIN
};

/// Pauses with washing on both sides, or with filling. A drain that rests and goes on is what many controls do.
fn stops(run: &Run) -> Vec<Sign> {
    let fills = |a: &Interval, b: &Interval| a.kind == Kind::Fill && b.kind == Kind::Fill;
    let goes_on = |a: &Interval, b: &Interval| (washes(a) && washes(b)) || fills(a, b);
    // Who stands still draws no more than the control.
    let still = |i: &Interval| i.kind == Kind::Pause && i.measured.power < run.levels.standby + A_VALVE.get();
    let stop = |t: &&[Interval]| still(&t[1]) && goes_on(&t[0], &t[2]);
    let stops = run.cycle.intervals.windows(3).filter(stop);
    stops.map(|t| Sign::new(t[1].start, Quantity::Time(t[1].duration()))).collect()
}

fn is_short(stop: &Sign) -> bool {
    stop.value.number() < SHORT_STOP.get().0
}

/// Short stops that are not the chatter of a relay.
fn short_stops(context: &Context) -> Vec<Sign> {
    let chatters = chatter(context).is_some();
    let short = context.signs(DROPS_OUT.id).iter().filter(|s| is_short(s));
    short.filter(|s| !chatters || s.value.number() > CHATTER.get().0).copied().collect()
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

/// How much surer the median of so many is than one: the standard error of a mean, and of a median by the root of half pi more, but never
/// more than that of one (Kenney and Keeping, Mathematics of Statistics, part 1, 1962, 13.13, from memory).
fn of_a_median(of: usize) -> f64 {
    (std::f64::consts::FRAC_PI_2 / of.max(1) as f64).sqrt().min(1.0)
}

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
