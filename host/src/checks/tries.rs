//! A pump that starts and stops within seconds, as one does whose rotor sticks: the control, or its protector, stops it and tries again.

use tubtrace_units::Seconds;

use super::check::{Check, Harm, Headline, Numbers};
use super::event::Event;
use super::run::Run;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 1] = [&PUMP_TRIES];

constants! { "checks.tries":
    /// A pump that is stopped within this has not run.
    NOT_RUN: Seconds = Seconds(8.0), "s", Guess;
    /// It rests for at least this long before the next try.
    RESTS: Seconds = Seconds(4.0), "s", Guess;
    /// So many tries are no chance.
    OFTEN: usize = 4, "tries", Guess;
}

/// The wash pump runs for seconds and rests, again and again.
static PUMP_TRIES: Check = Check {
    id: "pump-tries",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 321,
    measure: |run| {
        let tries: Vec<Seconds> = tries(run);
        let often = tries.len() >= OFTEN.get();
        let sign = |at: &Seconds| Sign::new(*at, Quantity::Count(tries.len() as u32));
        tries.first().filter(|_| often).map(sign).into_iter().collect()
    },
    hold: |context| {
        let signs = context.signs(PUMP_TRIES.id).iter();
        signs.map(|s| PUMP_TRIES.came(s.at, s.value.number() as usize, 0)).collect()
    },
    harm: Harm::Stops,
    stands_in: true,
    masked_by: &["heat-flutters", "pump-silent"],
    event: Event::Lasts(RESTS),
    headline: Headline::Is("the wash pump starts, stops within seconds, and tries again"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// When the pump ran for seconds between two rests. What its stall draws may be taken for a small load of its own.
fn tries(run: &Run) -> Vec<Seconds> {
    let rests = |i: &Interval| matches!(i.kind, Kind::Pause | Kind::Drain | Kind::Fill);
    let brief = |i: &Interval| matches!(i.kind, Kind::Wash | Kind::Stall) && i.duration() < NOT_RUN.get();
    let tried =
        |t: &&[Interval]| rests(&t[0]) && brief(&t[1]) && rests(&t[2]) && t[2].duration() > RESTS.get();
    run.cycle.intervals.windows(3).filter(tried).map(|t| t[1].start).collect()
}
