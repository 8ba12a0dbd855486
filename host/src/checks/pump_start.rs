//! How the wash pump starts.

use tubtrace_units::Seconds;

use super::baseline::Baseline;
use super::check::{Check, Harm, Headline, Needs};
use super::context::Context;
use super::event::Event;
use super::run::{PumpStart, middle};
use crate::constant::constants;
use crate::intervals::{Kind, Sign};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 2] = [&SLOW_START, &CHATTERS];

constants! { "checks.pump_start":
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
pub(super) fn chatter(context: &Context) -> Option<Sign> {
    middle(context.signs(CHATTERS.id)).filter(|s| s.value.number() > context.usual(&SWITCHING))
}
