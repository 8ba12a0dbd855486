//! The wash pump: how it starts, whether it runs steadily, and what it stops for. Limits are common practice, no source.

use tubtrace_units::{Load, Seconds};

use super::case::Case;
use super::check::{Check, Headline, Numbers};
use super::event::Event;
use super::habit::Habit;
use super::outside::Outside;
use super::run::{Run, STEADY, middle, washes};
use crate::alignment::Act;
use crate::intervals::{Interval, Kind, Sign};
use crate::loads::quantile;
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 8] =
    [&SLOW_START, &CHATTERS, &DROPS_OUT, &DIPS, &OPENED, &UNSTEADY, &PUMP_STALLS, &PUMP_SILENT];

/// The wash pump takes seconds to come up to speed.
static SLOW_START: Check = Check {
    id: "slow-start",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 200,
    measure: |run| {
        run.pump_starts().iter().map(|start| Sign::new(start.at, Quantity::Time(start.surge))).collect()
    },
    habits: &[&START],
    hold: |case| {
        let usual = case.usual(&START);
        let typical = middle(case.signs(&SLOW_START)).filter(|s| s.value.number() > usual.0);
        typical.map(|s| SLOW_START.lasted(case, s.at, s.value, usual)).into_iter().collect()
    },
    masked_by: &["pump-stalls"],
    // A motor that starts. Common practice, no source.
    event: Event::Lasts(Seconds(2.0)),
    headline: Headline::Is("the wash pump takes long to come up to speed"),
    of_order_or_load: true,
    ..Check::PLAIN
};

/// The wash pump is up to speed within this: a motor takes well under a second.
static START: Habit<Seconds> = Habit {
    key: "start_s",
    common: Seconds(1.1),
    learn: |good, common| {
        let coarse = if good.resolution.0 > 0.5 { 2.0 * good.resolution.0 } else { 0.0 };
        Seconds(good.over(common.0, &SLOW_START, middle) + coarse)
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
    habits: &[&SWITCHING],
    hold: |case| {
        let most = case.usual(&SWITCHING) as u32;
        chatter(case).map(|s| CHATTERS.counted(s.at, s.value.number() as usize, most)).into_iter().collect()
    },
    // A relay that closes. Common practice, no source.
    event: Event::Lasts(Seconds(2.0)),
    headline: Headline::Is("the wash pump goes off and on as it starts"),
    of_order_or_load: true,
    ..Check::PLAIN
};

/// How often it goes off and on in its first seconds: a relay that closes bounces for milliseconds, which no window shows.
static SWITCHING: Habit<f64> = Habit {
    key: "switching",
    common: 2.0,
    learn: |good, common| common.max(good.most(&CHATTERS, middle) + 1.0),
};

/// A typical start of a pump whose relay chatters.
fn chatter(case: &Case) -> Option<Sign> {
    middle(case.signs(&CHATTERS)).filter(|s| s.value.number() > case.usual(&SWITCHING))
}

/// The wash pump stops for seconds, again and again.
static DROPS_OUT: Check = Check {
    id: "drops-out",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 170,
    measure: stops,
    habits: &[&STOPS],
    hold: |case| {
        let (short, usual) = (short_stops(case), case.usual(&STOPS));
        let again = short.len() >= 2 && short.len() as u32 > usual;
        again.then(|| DROPS_OUT.counted(short[0].at, short.len(), usual)).into_iter().collect()
    },
    masked_by: &["pump-stalls"],
    // A contact that opens. Common practice, no source.
    event: Event::Lasts(Seconds(5.0)),
    headline: Headline::Is("the wash pump stops again and again"),
    ..Check::PLAIN
};

/// How often the wash pump stands still for less than half a minute between two washes.
static STOPS: Habit<u32> = Habit {
    key: "stops",
    common: 0,
    learn: |good, _| {
        let counts = good.signs(&DROPS_OUT).map(|stops| stops.iter().filter(|s| is_short(s)).count() as u32);
        let most = counts.max().unwrap_or(0);
        most + if good.few() { 2 } else { u32::from(most > 0) }
    },
};

/// Everything stops for seconds, once, and goes on: a dip of the mains.
static DIPS: Check = Check {
    id: "dips",
    subject: "wash",
    does: Kind::Wash,
    rank: 160,
    hold: |case| match short_stops(case)[..] {
        [stop] if case.usual(&STOPS) == 0 => vec![DIPS.lasted(case, stop.at, stop.value, Seconds(0.0))],
        _ => Vec::new(),
    },
    masked_by: &["pump-stalls"],
    event: Event::Itself,
    headline: Headline::Is("everything stops for a moment, and goes on"),
    ..Check::PLAIN
};

/// Everything stops in the middle of a wash for a while, once, and goes on: somebody at the door.
static OPENED: Check = Check {
    id: "opened",
    subject: "wash",
    does: Kind::Wash,
    rank: 180,
    hold: |case| {
        let long: Vec<&Sign> = case.signs(&DROPS_OUT).iter().filter(|s| !is_short(s)).collect();
        match long[..] {
            [stop] if case.usual(&STOPS) == 0 && short_stops(case).is_empty() => {
                vec![OPENED.lasted(case, stop.at, stop.value, Seconds(0.0))]
            }
            _ => Vec::new(),
        }
    },
    widen: |chart, _| {
        let usual = STOPS.by(&chart.habits).max(1);
        STOPS.say(&mut chart.habits, usual);
        true
    },
    masked_by: &["pump-stalls"],
    event: Event::Itself,
    headline: Headline::Is("everything stops in the middle, and goes on"),
    ..Check::PLAIN
};

/// Stops shorter than this are a dip or a loose contact, longer ones somebody at the door.
const SHORT_STOP: Seconds = Seconds(32.0);

/// Stops of the wash pump up to this long are those of a relay that chatters, where one does.
const CHATTER: Seconds = Seconds(2.0);

/// Pauses with washing on both sides, or with water moving the same way.
fn stops(run: &Run) -> Vec<Sign> {
    let same = |a: &Interval, b: &Interval| a.kind == b.kind && matches!(a.kind, Kind::Fill | Kind::Drain);
    let goes_on = |a: &Interval, b: &Interval| (washes(a) && washes(b)) || same(a, b);
    let stop = |t: &&[Interval]| t[1].kind == Kind::Pause && goes_on(&t[0], &t[2]);
    let stops = run.cycle.intervals.windows(3).filter(stop);
    stops.map(|t| Sign::new(t[1].start, Quantity::Time(t[1].duration()))).collect()
}

fn is_short(stop: &Sign) -> bool {
    stop.value.number() < SHORT_STOP.0
}

/// Short stops that are not the chatter of a relay.
fn short_stops(case: &Case) -> Vec<Sign> {
    let chatters = chatter(case).is_some();
    let short = case.signs(&DROPS_OUT).iter().filter(|s| is_short(s));
    short.filter(|s| !chatters || s.value.number() > CHATTER.0).copied().collect()
}

/// The wash pump's power wanders: it draws air.
static UNSTEADY: Check = Check {
    id: "unsteady",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 290,
    measure: |run| run.of(&[Kind::Wash]).filter_map(|wash| wander(run, wash)).collect(),
    habits: &[&WANDER],
    hold: |case| {
        let usual = case.usual(&WANDER);
        let typical = middle(case.signs(&UNSTEADY)).filter(|s| s.value.number() > usual);
        typical.map(|s| UNSTEADY.at_most(s, usual, 0.2 * usual)).into_iter().collect()
    },
    // Ten readings of the shortest wash that is looked at make a spread.
    event: Event::Lasts(Seconds(4.5)),
    headline: Headline::Is("the wash pump's power wanders"),
    ..Check::PLAIN
};

/// The spread of its power: with water, it hardly wanders.
static WANDER: Habit<f64> =
    Habit { key: "wander", common: 0.10, learn: |good, common| good.over(common, &UNSTEADY, middle) };

/// The spread of the pump's power in a wash, from the tenth to the ninetieth percentile, over its median.
fn wander(run: &Run, wash: &Interval) -> Option<Sign> {
    if wash.duration() < STEADY {
        return None;
    }
    let at = |part| quantile(run.inner(wash).map(|s| (s.power.0, s.duration().0)), part);
    let (low, middle, high) = (at(0.1)?, at(0.5)?, at(0.9)?);
    Some(Sign::new(wash.start, Quantity::Part((high - low) / middle.max(1.0))))
}

/// The wash pump draws several times its current and does not run.
static PUMP_STALLS: Check = Check {
    id: "pump-stalls",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 320,
    hold: stalls,
    // A protector that opens. Common practice, no source.
    event: Event::Lasts(Seconds(5.0)),
    headline: Headline::Is("the wash pump starts and does not run"),
    numbers: Numbers::Measured,
    of_order_or_load: true,
    ..Check::PLAIN
};

/// A locked pump's protector opens within so long, and stays open for longer. Common practice, no source.
const A_TRY: Seconds = Seconds(15.0);

/// Tries that make a pump that does not start.
const TRIES: usize = 3;

/// A pump that stalls does so again and again: several times its current, or runs of seconds between pauses. Once or
/// twice may be anything.
fn stalls(case: &Case) -> Vec<Outside> {
    let acts = &case.explanation.acts;
    let rests = |i: Option<usize>| {
        i.and_then(|i| acts.get(i)).is_some_and(|a| a.kind == Kind::Pause && a.duration() > A_TRY)
    };
    let tries = |(i, a): &(usize, &Act)| {
        let brief =
            a.kind == Kind::Wash && a.duration() < A_TRY && rests(Some(i + 1)) && rests(i.checked_sub(1));
        a.kind == Kind::Stall || brief
    };
    let tries: Vec<&Act> = acts.iter().enumerate().filter(tries).map(|(_, a)| a).collect();
    let Some(first) = tries.first().filter(|_| tries.len() >= TRIES) else { return Vec::new() };
    let certainty = case.certainty(std::slice::from_ref(*first));
    vec![PUMP_STALLS.came(first.start, tries.len(), 0).sure(certainty)]
}

/// Water has come, and the wash pump does not even try.
static PUMP_SILENT: Check = Check {
    id: "pump-silent",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 120,
    hold: silent,
    event: Event::Lasts(Seconds(15.0)),
    headline: Headline::Is("water has come, and the wash pump does not run"),
    of_order_or_load: true,
    ..Check::PLAIN
};

/// Water has come and nothing runs: the control thinks it washes.
fn silent(case: &Case) -> Vec<Outside> {
    let all = &case.cycle.intervals;
    let fills = |i: &Interval| i.kind == Kind::Fill && i.duration() > Seconds(15.0);
    let nothing = |i: &Interval| i.kind == Kind::Pause && i.duration() > Seconds(45.0);
    let heats = |i: &Interval| i.loads.has(Load::Heater) && !i.loads.has(Load::WashPump);
    let silent = |p: &&[Interval]| fills(&p[0]) && (nothing(&p[1]) || heats(&p[1]));
    let at: Vec<Seconds> = all.windows(2).filter(silent).map(|p| p[1].start).collect();
    // The last fill of a group that is cut into two cycles by a long silence.
    let ends = all.last().is_some_and(fills) && !case.cycle.cut_at_end;
    let first = at.first().copied().or(ends.then(|| case.cycle.end()));
    let count = at.len() + usize::from(ends);
    first.map(|first| PUMP_SILENT.counted(first, count, 0)).into_iter().collect()
}
