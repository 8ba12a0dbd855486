//! A mains that is low for a while, in a run of which no programme is known: the machine is its own reference.

use tubtrace_units::{Seconds, Watts};

use super::check::{Check, Grade, Headline, Numbers};
use super::constants::STEADY;
use super::event::Event;
use super::run::Run;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;
use crate::stats::weighted_median;

pub(super) static CHECKS: [&Check; 1] = [&DRAWS_LESS];

constants! { "checks.sag":
    /// What is drawn in a sag is less than this part of what is drawn otherwise.
    SAGS_BELOW: f64 = 0.93, "part", Guess;
    /// Where less than this part is left it is no mains that a machine still runs at.
    LEFT: f64 = 0.6, "part", Practice;
    /// A mains that leaves more than this is within what supplies are allowed: 230 V less 10 %.
    ALLOWED: f64 = 0.9, "part", Source("IEC 60038, table 1, from memory: 230 V within 10 %");
    /// A pump of one speed and an element draw the same by this part, from one water to the next.
    ONE_LEVEL: f64 = 0.05, "part", Guess;
    /// So much of the time outside of the sag, they do.
    MOSTLY: f64 = 0.9, "part", Guess;
    /// A sag is the shorter part of a run: it lasts for at most this part of the rest.
    SHORTER: f64 = 0.5, "part", Guess;
    /// What is no less for this long ends a sag.
    ENDED: Seconds = Seconds(10.0), "s", Guess;
    /// Expanded uncertainty of what is left.
    DOUBT: f64 = 0.02, "part", Guess;
}

/// For some minutes, once in a run, all that washes and heats draws less, and the same before and after it. A pump of several speeds does so as well,
/// and is left out; one that draws air does so again and again.
static DRAWS_LESS: Check = Check {
    id: "draws-less",
    subject: "mains",
    does: Kind::Heat,
    rank: 523,
    measure: |run| sag(run).into_iter().collect(),
    hold: |context| {
        let limits = (Some(Quantity::Part(ALLOWED.get())), None);
        let signs = context.signs(DRAWS_LESS.id).iter();
        signs.map(|s| DRAWS_LESS.outside(s.at, s.value, limits, Quantity::Part(DOUBT.get()))).collect()
    },
    grade: Grade::Unusual,
    stands_in: true,
    masked_by: &["mains-low", "unsteady", "siphons", "drain-goes-on", "drain-stays-on"],
    event: Event::Lasts(STEADY),
    headline: Headline::Is("for some minutes everything draws less, as at a low mains"),
    numbers: Numbers::Measured,
    ..Check::PLAIN
};

/// A reading of what washes or heats, as a part of what is drawn in the same as a rule.
#[derive(Clone, Copy)]
struct Part {
    start: Seconds,
    end: Seconds,
    part: f64,
}

/// The sag of a run, where it has one and no more, as the part that is left of what is drawn otherwise.
fn sag(run: &Run) -> Option<Sign> {
    if run.levels.speeds.is_some() {
        return None;
    }
    let parts = parts(run);
    let lasts = |of: &[Part]| -> Seconds { of.iter().map(|p| p.end - p.start).sum() };
    let is_low = |p: &Part| p.part < SAGS_BELOW.get();
    let (first, last) = (parts.iter().position(is_low)?, parts.iter().rposition(is_low)?);
    let within = &parts[first..=last];
    let normal = within.chunk_by(|a, b| is_low(a) == is_low(b)).filter(|c| !is_low(&c[0]));
    let once = normal.map(lasts).all(|lasts| lasts < ENDED.get());
    let low: Vec<Part> = within.iter().filter(|p| is_low(p)).copied().collect();
    let rest = [&parts[..first], &parts[last + 1..]].concat();
    let same: Vec<Part> = rest.iter().filter(|p| (p.part - 1.0).abs() < ONE_LEVEL.get()).copied().collect();
    let steady = lasts(&same) > lasts(&rest) * MOSTLY.get() && lasts(&low) < lasts(&rest) * SHORTER.get();
    let left = weighted_median(low.iter().map(|p| (p.part, (p.end - p.start).0)))?;
    let is = once && steady && lasts(&low) > STEADY.get() && left > LEFT.get() && left < ALLOWED.get();
    is.then(|| Sign::new(within[0].start, Quantity::Part(left)))
}

/// The readings of all that washes or heats for long enough, without its ends, in the order of time.
fn parts(run: &Run) -> Vec<Part> {
    let long = |kind: Kind| {
        let all = run.cycle.intervals.iter();
        all.filter(move |i| i.kind == kind && i.duration() > STEADY.get())
    };
    let usual = |kind: Kind| {
        let power = long(kind).map(|i| (i.measured.power.0, i.duration().0));
        weighted_median(power).map(Watts)
    };
    let of = |kind: Kind| {
        let usual = usual(kind);
        long(kind).flat_map(move |i: &Interval| {
            let usual = usual.unwrap_or(i.measured.power).0.max(1.0);
            run.inner(i).map(move |s| Part { start: s.start, end: s.end, part: s.power.0 / usual })
        })
    };
    let mut all: Vec<Part> = of(Kind::Wash).chain(of(Kind::Heat)).collect();
    all.sort_by(|a, b| a.start.total_cmp(&b.start));
    all
}

#[cfg(test)]
mod tests {
    use super::super::made::{HEALTHY, signs_with};
    use super::*;

    /// What is left in the sag that is found in a healthy run, of whose readings so much is left from one second to another.
    fn left(sags: &[(u32, u32)], part: f64) -> Vec<f64> {
        let read = |second: u32, watts: f64| {
            let low = sags.iter().any(|(from, to)| (*from..*to).contains(&second));
            if low { watts * part } else { watts }
        };
        signs_with(&DRAWS_LESS, &HEALTHY, read).iter().map(|s| s.value.number()).collect()
    }

    #[test]
    fn one_stretch_in_which_everything_draws_less_is_told_and_two_are_not() {
        let told = left(&[(500, 800)], 0.75);
        assert!(told.len() == 1 && (told[0] - 0.75).abs() < 0.01, "{told:?}");
        assert_eq!(left(&[(500, 620), (1_100, 1_250)], 0.75), [] as [f64; 0]);
        assert_eq!(left(&[(500, 800)], 0.95), [] as [f64; 0]);
        assert_eq!(left(&[], 1.0), [] as [f64; 0]);
    }
}
