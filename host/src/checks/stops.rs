//! Stops in the middle of a wash or a fill: of the pump, of the mains, or somebody at the door.

use tubtrace_units::Seconds;

use super::baseline::Baseline;
use super::check::{Check, Grade, Harm, Headline, Needs, Numbers};
use super::constants::A_VALVE;
use super::context::Context;
use super::event::Event;
use super::outside::Outside;
use super::pump_start::chatter;
use super::run::{Run, washes};
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 5] = [&DROPS_OUT, &DIPS, &OPENED, &DIPS_ONCE, &OPENED_ONCE];

constants! { "checks.stops":
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
        let more = if good.few() { STOPS_MORE_THAN_FEW.get() } else { u32::from(most > 0) };
        // A pump that rests in turn does so as often as it washes for longer.
        (most + more).max((good.room() * f64::from(most)) as u32)
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

/// Everything stops for seconds, once, and in no other run of the log: where those are few, nobody knows that they never do.
static DIPS_ONCE: Check = Check {
    id: "dips-once",
    subject: "wash",
    does: Kind::Wash,
    rank: 516,
    hold: |context| once(context, &DIPS_ONCE, is_short),
    grade: Grade::Unusual,
    stands_in: true,
    masked_by: &["dips", "drops-out", "pump-stalls", "pump-jams", "restarts"],
    event: Event::Lasts(A_DIP),
    headline: Headline::Is("everything stops for a moment, once, and goes on"),
    numbers: Numbers::Measured,
    harm: Harm::Little,
    ..Check::PLAIN
};

/// Likewise, for longer: somebody at the door.
static OPENED_ONCE: Check = Check {
    id: "opened-once",
    subject: "wash",
    does: Kind::Wash,
    rank: 517,
    hold: |context| once(context, &OPENED_ONCE, |stop| !is_short(stop)),
    grade: Grade::Unusual,
    stands_in: true,
    masked_by: &["opened", "pump-stalls", "pump-jams", "restarts"],
    event: Event::Lasts(AT_THE_DOOR),
    headline: Headline::Is("everything stops in the middle, once, and goes on"),
    numbers: Numbers::Measured,
    harm: Harm::Little,
    ..Check::PLAIN
};

/// The one stop of a run, if it is such a one and the few other runs have none.
fn once(context: &Context, check: &'static Check, such: fn(&Sign) -> bool) -> Vec<Outside> {
    let others_have_none = (1..=STOPS_MORE_THAN_FEW.get()).contains(&context.usual(&STOPS));
    match context.signs(DROPS_OUT.id) {
        [stop] if others_have_none && such(stop) => {
            vec![check.lasted(context, stop.at, stop.value, Seconds(0.0))]
        }
        _ => Vec::new(),
    }
}

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
