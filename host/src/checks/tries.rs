//! A pump that starts and stops within seconds, as one does whose rotor sticks: the control, or its protector, stops it and tries again.

use tubtrace_units::Seconds;

use super::check::{Check, Harm, Headline, Numbers};
use super::constants::HEATS;
use super::event::Event;
use super::run::Run;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::trace::Step;

pub(super) static CHECKS: [&Check; 2] = [&PUMP_TRIES, &PUMP_JAMS];

constants! { "checks.tries":
    /// A pump that is stopped within this has not run.
    NOT_RUN: Seconds = Seconds(8.0), "s", Guess;
    /// It rests for at least this long before the next try.
    RESTS: Seconds = Seconds(4.0), "s", Guess;
    /// So many tries are no chance.
    OFTEN: usize = 4, "tries", Guess;
    /// A motor that is held draws more than this many times what it draws running.
    HELD_FROM: f64 = 1.6, "factor", Practice;
    /// And less than this many times: the locked rotor of a small motor takes two to six times its running current.
    HELD_TO: f64 = 6.0, "factor", Practice;
    /// It is stopped within this, by the control or by its protector.
    HELD_AT_MOST: Seconds = Seconds(10.0), "s", Practice;
    /// A start is over within this.
    STARTED: Seconds = Seconds(1.5), "s", Practice;
    /// Then it is off for at least this long.
    OFF_FOR: Seconds = Seconds(2.5), "s", Guess;
    /// What draws less than this part of the running power is off.
    OFF: f64 = 0.3, "part", Guess;
    /// So many times are no chance.
    JAMS: usize = 2, "times", Guess;
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

/// The wash pump draws a multiple of its running power for seconds, and is stopped: its rotor was held.
static PUMP_JAMS: Check = Check {
    id: "pump-jams",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 322,
    measure: |run| {
        let jams = jams(run);
        let sign = |at: &Seconds| Sign::new(*at, Quantity::Count(jams.len() as u32));
        jams.first().filter(|_| jams.len() >= JAMS.get()).map(sign).into_iter().collect()
    },
    hold: |context| {
        let signs = context.signs(PUMP_JAMS.id).iter();
        signs.map(|s| PUMP_JAMS.came(s.at, s.value.number() as usize, 0)).collect()
    },
    harm: Harm::Stops,
    stands_in: true,
    masked_by: &["heat-flutters", "pump-silent", "pump-stalls", "pump-tries"],
    event: Event::Lasts(OFF_FOR),
    headline: Headline::Is("the wash pump draws a multiple of its power for seconds, and stops"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// What the readings say of the wash pump.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Draws {
    Little,
    Runs,
    Multiple,
    Heat,
}

/// When the pump drew a multiple of its running power, and was off right after. One reading may lie between the two.
fn jams(run: &Run) -> Vec<Seconds> {
    let fastest = run.levels.speeds.map_or(run.levels.wash, |(_, high)| high);
    let draws = |step: &Step| {
        let above = step.power - run.levels.standby;
        match above / fastest {
            _ if run.levels.heater.is_some_and(|h| step.power > h.level * HEATS.get()) => Draws::Heat,
            times if times < OFF.get() => Draws::Little,
            times if times < HELD_FROM.get() => Draws::Runs,
            times if times < HELD_TO.get() => Draws::Multiple,
            _ => Draws::Heat,
        }
    };
    let all: Vec<Step> = run.record.between(run.cycle.start(), run.cycle.end()).collect();
    let states: Vec<(Draws, Seconds, Seconds)> = all
        .chunk_by(|a, b| draws(a) == draws(b))
        .map(|s| (draws(&s[0]), s[0].start, s.iter().map(Step::duration).sum()))
        .collect();
    let brief = run.record.resolution * 1.5;
    let jam = |n: &usize| {
        let (draws, _, lasts) = states[*n];
        // Next to a heater that is switched a reading lies between two levels.
        let beside = n.checked_sub(1).and_then(|b| states.get(b)).is_some_and(|s| s.0 != Draws::Heat);
        let mut after = states[n + 1..].iter().filter(|s| s.0 != Draws::Runs || s.2 > brief);
        let off = after.next().is_some_and(|s| s.0 == Draws::Little && s.2 > OFF_FOR.get());
        let held = lasts > STARTED.get().max(brief) && lasts < HELD_AT_MOST.get();
        draws == Draws::Multiple && held && beside && off
    };
    (0..states.len()).filter(jam).map(|n| states[n].1).collect()
}

#[cfg(test)]
mod tests {
    use super::super::made::{HEALTHY, signs_with};
    use super::*;

    /// What the first wash of a healthy run draws, from each of these seconds on: a multiple for as long, and then nothing for five seconds.
    fn jams(held: u32) -> usize {
        let read = |second: u32, watts: f64| {
            let since = [100, 150, 200].into_iter().filter_map(|at| second.checked_sub(at)).min();
            match since {
                Some(since) if since < held => 300.0,
                Some(since) if since < held + 5 => 1.0,
                _ => watts,
            }
        };
        let told = signs_with(&PUMP_JAMS, &HEALTHY, read);
        told.first().map_or(0, |sign| sign.value.number() as usize)
    }

    #[test]
    fn a_rotor_that_is_held_is_told_and_a_start_is_not() {
        assert_eq!(jams(4), 3);
        assert_eq!(jams(1), 0);
        assert_eq!(signs_with(&PUMP_JAMS, &HEALTHY, |_, watts| watts), []);
    }
}
