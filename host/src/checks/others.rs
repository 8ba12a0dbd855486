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
    /// So many others make a reference.
    OTHERS: usize = 2, "times", Guess;
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
