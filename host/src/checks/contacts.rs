//! The contact that feeds the wash pump: one that chatters opens for parts of a second, and each time that it closes the motor starts anew.

use tubtrace_units::Seconds;

use super::check::{Check, Harm, Headline, Numbers};
use super::event::Event;
use super::run::Run;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::weighted_median;
use crate::trace::Step;

pub(super) static CHECKS: [&Check; 1] = [&PUMP_FLUTTERS];

constants! { "checks.contacts":
    /// A reading in which the contact was open for a part of it is below this part of the pump's power.
    OPEN: f64 = 0.6, "part", Guess;
    /// A motor that starts draws more than it does running: a reading with a start in it is above this many times the pump's power.
    STARTS: f64 = 1.08, "factor", Guess;
    /// A contact that chatters opens again within this.
    BURST: Seconds = Seconds(12.0), "s", Guess;
    /// So often at least.
    OPENS: usize = 2, "times", Guess;
    /// So many bursts in one run are no chance.
    BURSTS: usize = 3, "bursts", Guess;
    /// The shortest event that shows a contact that opens: readings further apart show a mean.
    AN_OPENING: Seconds = Seconds(2.0), "s", Practice;
    /// A wash of less than this has no level of its own.
    A_WASH: Seconds = Seconds(30.0), "s", Guess;
}

/// The wash pump's power falls and surges for seconds, again and again.
static PUMP_FLUTTERS: Check = Check {
    id: "pump-flutters",
    subject: "wash pump",
    does: Kind::Wash,
    rank: 323,
    measure: |run| {
        let bursts: Vec<Seconds> = run.of(&[Kind::Wash]).flat_map(|wash| bursts(run, wash)).collect();
        let sign = |at: &Seconds| Sign::new(*at, Quantity::Count(bursts.len() as u32));
        bursts.first().filter(|_| bursts.len() >= BURSTS.get()).map(sign).into_iter().collect()
    },
    hold: |context| {
        let signs = context.signs(PUMP_FLUTTERS.id).iter();
        signs.map(|s| PUMP_FLUTTERS.came(s.at, s.value.number() as usize, 0)).collect()
    },
    harm: Harm::Wash,
    stands_in: true,
    masked_by: &["pump-stalls", "pump-tries", "pump-jams", "heat-flutters"],
    event: Event::Lasts(AN_OPENING),
    headline: Headline::Is("the wash pump's power falls and surges within seconds, again and again"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// When bursts of openings begin in a wash: the power falls several times within seconds, and a start follows one of the falls at once.
fn bursts(run: &Run, wash: &Interval) -> Vec<Seconds> {
    if wash.duration() < A_WASH.get() {
        return Vec::new();
    }
    let all: Vec<Step> = run.record.between(wash.start, wash.end).collect();
    let above = |s: &Step| (s.power - run.levels.standby).0;
    let Some(level) = weighted_median(all.iter().map(|s| (above(s), s.duration().0))) else {
        return Vec::new();
    };
    let is_open = |s: &Step| above(s) < OPEN.get() * level;
    let brief = |s: &Step| s.duration() < AN_OPENING.get();
    // Each fall, with whether the motor starts right after it.
    let falls: Vec<(Seconds, bool)> = all
        .windows(3)
        .filter(|t| !is_open(&t[0]) && is_open(&t[1]) && brief(&t[1]))
        .map(|t| (t[1].start, above(&t[2]) > STARTS.get() * level))
        .collect();
    let groups = falls.chunk_by(|a, b| b.0 - a.0 < BURST.get());
    let burst =
        |group: &&[(Seconds, bool)]| group.len() >= OPENS.get() && group.iter().any(|(_, starts)| *starts);
    groups.filter(burst).map(|group| group[0].0).collect()
}

#[cfg(test)]
mod tests {
    use super::super::made::{HEALTHY, signs_with};
    use super::*;

    /// What the first wash of a healthy run draws, if it falls for a second twice at each of these times, and then draws so much for another.
    fn flutters(then: f64) -> Vec<Sign> {
        let read = |second: u32, watts: f64| match second % 60 {
            10 | 14 if second < 300 => 20.0,
            11 | 15 if second < 300 => then,
            _ => watts,
        };
        signs_with(&PUMP_FLUTTERS, &HEALTHY, read)
    }

    #[test]
    fn a_contact_that_opens_and_starts_its_motor_again_is_told_and_a_pump_that_draws_air_is_not() {
        assert_eq!(flutters(150.0).iter().map(|s| s.value).collect::<Vec<_>>(), [Quantity::Count(4)]);
        assert_eq!(flutters(90.0), []);
        assert_eq!(signs_with(&PUMP_FLUTTERS, &HEALTHY, |_, watts| watts), []);
    }
}
