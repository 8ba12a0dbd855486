//! A log in which nothing was found: what was tried, how often a fault may come and still not have shown itself, and what to do.

use tubtrace_units::{Load, Seconds, Watts};

use super::constants::WOULD_BE_SEEN;
use crate::alignment::{BLINK, are_means};
use crate::checks::constants::PLAIN_FROM;
use crate::intervals::{Cycle, Interval, Kind};
use crate::stats::weighted_median;

/// What a log without a finding says.
#[derive(Clone, Debug)]
pub struct Quiet {
    /// How many cycles were recorded whole: each is a chance for a fault to show itself.
    pub cycles: usize,
    /// Of how many more only a part was recorded: the log, or a hole in it, cuts them, or hides a water of theirs.
    pub parts: usize,
    /// What the machine did in them.
    pub tried: Vec<Tried>,
    /// Whether the heater ran in any of them.
    pub heated: bool,
    /// How far its readings are apart, where they are means that show no fill and no drain.
    pub means: Option<Seconds>,
}

/// Something that the machine did.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tried {
    /// What it did.
    pub does: Kind,
    /// How often that is plain: what a hole, a pause or a blink interrupts within one water is one.
    pub times: usize,
    /// How often it was this only as likely as not, and may have been something else.
    pub in_doubt: usize,
    /// The median of what it drew.
    pub power: Watts,
}

impl Quiet {
    /// Of cycles in which nothing was found.
    #[must_use]
    pub fn of(cycles: &[Cycle]) -> Self {
        let tried =
            [Kind::Fill, Kind::Wash, Kind::Heat, Kind::Drain, Kind::Dry].into_iter().filter_map(|does| {
                let told = || cycles.iter().filter(|c| shows(does, c.resolution));
                let all = told().flat_map(|c| c.intervals.iter().filter(move |i| is(does, i, c.resolution)));
                let drew = all.map(|i| (i.measured.power.0, i.duration().0));
                let power = Watts(weighted_median(drew)?);
                let (times, in_doubt) =
                    told().map(|c| times(does, c)).fold((0, 0), |(a, b), (c, d)| (a + c, b + d));
                Some(Tried { does, times, in_doubt, power })
            });
        let heated = cycles.iter().flat_map(|c| &c.intervals).any(|i| i.loads.has(Load::Heater));
        let means = cycles.iter().map(|c| c.resolution).find(|resolution| are_means(*resolution));
        let whole = cycles.iter().filter(|c| c.lacks().is_none()).count();
        Self { cycles: whole, parts: cycles.len() - whole, tried: tried.collect(), heated, means }
    }

    /// The probability that a fault which comes once in so many cycles would have shown itself, each cycle being a chance of its own.
    #[must_use]
    pub fn seen_if_once_in(&self, cycles: u32) -> f64 {
        1.0 - (1.0 - 1.0 / f64::from(cycles)).powi(self.cycles as i32)
    }

    /// How many cycles in all would show such a fault almost surely: the zero-failure plan, n = ln(1 - confidence) / ln(1 - rate)
    /// (NIST/SEMATECH e-Handbook of Statistical Methods, from memory).
    #[must_use]
    pub fn enough_for_once_in(cycles: u32) -> u32 {
        ((1.0 - WOULD_BE_SEEN.get()).ln() / (1.0 - 1.0 / f64::from(cycles)).ln()).ceil() as u32
    }
}

/// Whether an interval is one of these. Means do not part heat in water from heat in air.
fn is(does: Kind, interval: &Interval, resolution: Seconds) -> bool {
    let heats = does == Kind::Heat && are_means(resolution) && interval.loads.has(Load::Heater);
    interval.kind == does || heats
}

/// How often a cycle does this plainly, and how often perhaps. Means that rise to it or fall from it are none of it, and what they cannot show
/// between two of its stretches in one water parts none, as it parts no hold of a programme.
fn times(does: Kind, cycle: &Cycle) -> (usize, usize) {
    let interrupts = |i: &Interval| {
        let unseen = are_means(cycle.resolution) && !matches!(i.kind, Kind::Wash | Kind::Heat | Kind::Dry);
        unseen || matches!(i.kind, Kind::Gap | Kind::Pause) || i.kind != does && i.duration() < BLINK.get()
    };
    let is = |i: &Interval| is(does, i, cycle.resolution);
    let least = if are_means(cycle.resolution) { cycle.resolution * 2.0 } else { Seconds(0.0) };
    let lasts = |stretch: &[&Interval]| stretch.iter().map(|i| i.duration()).sum::<Seconds>() > least;
    let all: Vec<&Interval> = cycle.intervals.iter().filter(|i| !interrupts(i)).collect();
    let stretches = all.chunk_by(|a, b| (is(a), a.water) == (is(b), b.water));
    // An element and a wash pump are like nothing else; the doubt of their intervals is about what small loads run beside them.
    let is_small = matches!(does, Kind::Fill | Kind::Drain | Kind::Dry);
    let plain = |stretch: &&[&Interval]| !is_small || stretch.iter().any(|i| i.certainty >= PLAIN_FROM.get());
    let (plain, in_doubt): (Vec<_>, Vec<_>) =
        stretches.filter(|stretch| is(stretch[0]) && lasts(stretch)).partition(plain);
    (plain.len(), in_doubt.len())
}

/// Whether readings so far apart show what this is: means show what is long, washing and heat.
fn shows(does: Kind, resolution: Seconds) -> bool {
    !are_means(resolution) || matches!(does, Kind::Wash | Kind::Heat)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fourteen trials without a failure show a rate of one in five at 95 %; five show one in two: any table of zero-failure plans.
    #[test]
    fn agrees_with_zero_failure_plans() {
        assert_eq!([2, 3, 5, 10, 20].map(Quiet::enough_for_once_in), [5, 8, 14, 29, 59]);
        let quiet = Quiet { cycles: 3, parts: 0, tried: Vec::new(), heated: true, means: None };
        assert!((quiet.seen_if_once_in(2) - 0.875).abs() < 1e-12);
    }
}
