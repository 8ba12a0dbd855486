//! The machine as its own reference, in a run of which no programme is known: of like fills, drains and heats one that differs from all others.
//! What the wash pump draws is not held against itself: many machines wash at several speeds.

use tubtrace_units::Seconds;

use super::check::{Check, Grade, Headline, Numbers};
use super::event::Event;
use super::outside::Outside;
use super::run::{Run, washes};
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::weighted_median;

pub(super) static CHECKS: [&Check; 1] = [&UNLIKE_OTHERS];

constants! { "checks.others":
    /// The shortest fill or drain that is held against others.
    LONG_ENOUGH: Seconds = Seconds(10.0), "s", Practice;
    /// Heat for less than this may be a reading between two levels.
    HEATED: Seconds = Seconds(45.0), "s", Guess;
    /// So many others make a reference: three alike and one not. Of fewer, a programme of another kind of water is as likely.
    OTHERS: usize = 3, "times", Guess;
    /// Others that differ from each other by more than this part are no reference.
    AGREE: f64 = 0.1, "part", Guess;
    /// A fill or drain that lasts for longer than this many times the others is not like them.
    LONGER: f64 = 1.5, "factor", Guess;
    /// Heat that draws less than this part of the others is not like them: the mains alone may take a tenth of its volts, and with it a fifth of
    /// the power.
    WEAKER: f64 = 0.8, "part", Source("IEC 60038, table 1: 230 V +-10 %");
    /// Expanded uncertainty of how one compares with others.
    DOUBT: f64 = 0.05, "part", Guess;
}

/// One fill or drain is slower than all others of the run, or one heat weaker.
static UNLIKE_OTHERS: Check = Check {
    id: "unlike-others",
    subject: "water",
    does: Kind::Fill,
    rank: 524,
    measure: |run| [fills(run), drains(run), heats(run)].into_iter().flatten().collect(),
    hold: |context| context.signs(UNLIKE_OTHERS.id).iter().map(outside).collect(),
    grade: Grade::Unusual,
    stands_in: true,
    masked_by: &[
        "gives-up-draining",
        "drain-stays-on",
        "no-water",
        "fills-slowly",
        "mains-low",
        "out-of-scale",
        "clips",
    ],
    event: Event::Lasts(LONG_ENOUGH),
    headline: Headline::Of("one is unlike all others of its run"),
    numbers: Numbers::Both,
    ..Check::PLAIN
};

fn outside(sign: &Sign) -> Outside {
    let heat = sign.about == Kind::Heat.word();
    let kinds = [Kind::Fill, Kind::Drain, Kind::Heat];
    let does = kinds.into_iter().find(|k| k.word() == sign.about).unwrap_or(Kind::Fill);
    let limits = if heat {
        (Some(Quantity::Part(WEAKER.get())), None)
    } else {
        (None, Some(Quantity::Part(LONGER.get())))
    };
    let found = UNLIKE_OTHERS.outside(sign.at, sign.value, limits, Quantity::Part(DOUBT.get()));
    found.of(sign.about, does)
}

/// Fills that lead to a wash. The first is of a dry machine, and wets filter and dishes as well.
fn fills(run: &Run) -> Option<Sign> {
    let pairs = run.cycle.intervals.windows(2);
    let led = pairs.filter(|p| p[0].kind == Kind::Fill && washes(&p[1])).map(|p| &p[0]).skip(1);
    slower(&led.collect::<Vec<_>>())
}

/// Drains of a washed water. The last one often runs on.
fn drains(run: &Run) -> Option<Sign> {
    let pairs = run.cycle.intervals.windows(2);
    let mut led: Vec<&Interval> =
        pairs.filter(|p| washes(&p[0]) && p[1].kind == Kind::Drain).map(|p| &p[1]).collect();
    led.pop();
    slower(&led)
}

fn slower(all: &[&Interval]) -> Option<Sign> {
    let long: Vec<&Interval> = all.iter().copied().filter(|i| i.duration() > LONG_ENOUGH.get()).collect();
    let (odd, part) = odd(&long, |i| i.duration().0, |a, b| a > b)?;
    (part > LONGER.get() && long.len() == all.len()).then(|| sign(odd, part))
}

fn heats(run: &Run) -> Option<Sign> {
    let long: Vec<&Interval> = run.of(&[Kind::Heat]).filter(|i| i.duration() > HEATED.get()).collect();
    let (odd, part) = odd(&long, |i| (i.measured.power - run.levels.standby).0, |a, b| a < b)?;
    (part < WEAKER.get()).then(|| sign(odd, part))
}

fn sign(odd: &Interval, part: f64) -> Sign {
    Sign { about: odd.kind.word(), ..Sign::new(odd.start, Quantity::Part(part)) }
}

/// The one that is furthest to this side, and its part of the others, where those agree.
fn odd<'a>(
    all: &[&'a Interval],
    of: impl Fn(&Interval) -> f64,
    further: fn(f64, f64) -> bool,
) -> Option<(&'a Interval, f64)> {
    let odd = all.iter().copied().reduce(|a, b| if further(of(b), of(a)) { b } else { a })?;
    let others = || all.iter().filter(|i| i.start != odd.start).map(|i| of(i));
    let middle = weighted_median(others().map(|v| (v, 1.0)))?;
    let agree = others().all(|v| (v - middle).abs() <= AGREE.get() * middle);
    (agree && others().count() >= OTHERS.get()).then(|| (odd, of(odd) / middle))
}

#[cfg(test)]
mod tests {
    use super::super::made::{HEALTHY, Part, signs};
    use super::*;

    /// A healthy run with a rinse more.
    fn healthy() -> Vec<Part> {
        [&HEALTHY[..10], &HEALTHY[7..]].concat()
    }

    /// What is unlike the others in a healthy run of which these parts are others.
    fn with(parts: &[(usize, Part)]) -> Vec<(&'static str, f64)> {
        let mut all = healthy();
        parts.iter().for_each(|(place, part)| all[*place] = *part);
        signs(&UNLIKE_OTHERS, &all).iter().map(|s| (s.about, s.value.number())).collect()
    }

    #[test]
    fn one_that_is_slower_than_all_others_is_told() {
        assert_eq!(with(&[]), []);
        assert_eq!(with(&[(7, (Kind::Fill, 120, 16.0))]), [("fill", 2.0)]);
        assert_eq!(with(&[(6, (Kind::Drain, 120, 35.0))]), [("drain", 2.0)]);
        // A dry machine takes more at first, and many drain for longer at the end.
        assert_eq!(with(&[(0, (Kind::Fill, 120, 16.0))]), []);
        assert_eq!(with(&[(16, (Kind::Drain, 120, 35.0))]), []);
        // Two that are slower are what the programme does.
        assert_eq!(with(&[(4, (Kind::Fill, 120, 16.0)), (7, (Kind::Fill, 120, 16.0))]), []);
    }

    #[test]
    fn of_two_heats_nobody_knows_which_is_right_and_of_four_it_is_the_odd_one() {
        let (weak, strong) = ((Kind::Heat, 300, 1_001.0), (Kind::Heat, 300, 2_090.0));
        assert_eq!(with(&[(15, weak)]), []);
        let told = with(&[(5, weak), (8, strong)]);
        assert_eq!(told.len(), 1, "{told:?}");
        assert_eq!(told[0].0, "heat");
        assert!((told[0].1 - 1_000.0 / 2_089.0).abs() < 1e-9, "{told:?}");
    }
}
