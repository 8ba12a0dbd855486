//! A chart as means of so many seconds can show it: the long washes and the holds, in one row.

use tubtrace_units::{Amps, Seconds};

use super::constants::{HARDLY_UNSEEN, MEANS_OF_OWN};
use super::phases::are_means;
use crate::chart::{Chart, Expected, Limits, Part};
use crate::intervals::Kind;

/// The chart for a log in which a reading stands for `resolution`; none, where its readings show all of it.
#[must_use]
pub fn in_means(chart: &Chart, resolution: Seconds) -> Option<Chart> {
    are_means(resolution).then(|| {
        let mut row = Row { least: resolution * MEANS_OF_OWN.get(), seen: Vec::new(), between: none() };
        for part in &chart.parts {
            for copy in 0..part.times.high {
                let must = copy < part.times.low;
                part.intervals.iter().for_each(|expected| row.take(expected, must && !expected.may));
            }
        }
        let intervals = row.seen.into_iter().map(|e| wider(e, resolution)).collect();
        let part = Part { name: chart.name.clone(), times: Limits { low: 1, high: 1 }, intervals };
        Chart { parts: vec![part], ..chart.clone() }
    })
}

/// What of the chart is seen so far.
struct Row {
    /// What is shorter is not seen.
    least: Seconds,
    seen: Vec<Expected>,
    /// How long what is not seen since then takes.
    between: Limits<Seconds>,
}

impl Row {
    /// Goes on by one interval, which must come or may.
    fn take(&mut self, expected: &Expected, must: bool) {
        let open = Limits { low: Seconds(0.0), high: Seconds(f64::MAX) };
        let Limits { low, high } = expected.lasts.unwrap_or(open);
        // Drying may be heated, which looks like a hold.
        let dries = expected.kind == Kind::Dry;
        let (kind, must) = if dries { (Kind::Heat, false) } else { (expected.kind, must) };
        let lasts = Limits { low: if must { low } else { Seconds(0.0) }, high };
        let seen = matches!(kind, Kind::Wash | Kind::Heat);
        if !seen || lasts.high < self.least {
            self.between = self.between + lasts;
            return;
        }
        let between = std::mem::replace(&mut self.between, none());
        match self.seen.last_mut() {
            Some(last) if last.kind == kind => {
                last.lasts = last.lasts.map(|l| longest(l, between, lasts));
                last.may &= !must;
                last.amps = last.amps.zip(expected.amps).map(|(a, b)| both(a, b));
                last.purges.high += expected.purges.high;
            }
            _ => {
                let may = !must || hides(lasts, self.least);
                let low = if may || lasts.low < self.least { Seconds(0.0) } else { lasts.low };
                let lasts = Limits { low, ..lasts };
                let amps = expected.amps.filter(|_| !dries);
                self.seen.push(Expected { kind, may, lasts: Some(lasts), amps, ..expected.clone() });
            }
        }
    }
}

/// Whether what has these limits may well be shorter than what is seen.
fn hides(lasts: Limits<Seconds>, least: Seconds) -> bool {
    let logarithm = |s: Seconds| s.0.max(1.0).ln();
    let (low, high) = (logarithm(lasts.low), logarithm(lasts.high));
    logarithm(least) > low + HARDLY_UNSEEN.get() * (high - low)
}

/// Either end may lie a reading further, and purges are not seen.
fn wider(expected: Expected, resolution: Seconds) -> Expected {
    let wider = |l: Limits<Seconds>| Limits {
        low: (l.low - resolution).max(Seconds(0.0)),
        high: l.high + resolution,
    };
    let bounded = expected.lasts.filter(|l| l.high < Seconds(f64::MAX));
    let purges = Limits { low: 0, ..expected.purges };
    Expected { lasts: bounded.map(wider), purges, ..expected }
}

fn none() -> Limits<Seconds> {
    Limits { low: Seconds(0.0), high: Seconds(0.0) }
}

/// Two that are one, with what is not seen between them: at least as long as the longer, for a short one may not be seen either.
fn longest(a: Limits<Seconds>, between: Limits<Seconds>, b: Limits<Seconds>) -> Limits<Seconds> {
    Limits { low: a.low.max(b.low), high: a.high + between.high + b.high }
}

fn both(a: Limits<Amps>, b: Limits<Amps>) -> Limits<Amps> {
    Limits { low: a.low.min(b.low), high: a.high.max(b.high) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn washes_that_a_short_drain_parts_are_one_in_means() {
        let of = |kind, low, high| {
            let lasts = Some(Limits { low: Seconds(low), high: Seconds(high) });
            Expected { lasts, ..Expected::new("", kind) }
        };
        let part = |intervals| Part { name: String::new(), times: Limits { low: 1, high: 1 }, intervals };
        let first =
            part(vec![of(Kind::Fill, 50.0, 60.0), of(Kind::Wash, 900.0, 960.0), of(Kind::Drain, 70.0, 80.0)]);
        let second = part(vec![
            of(Kind::Fill, 50.0, 60.0),
            of(Kind::Wash, 300.0, 330.0),
            of(Kind::Heat, 600.0, 900.0),
        ]);
        let parts = vec![first, second];
        let chart =
            Chart { name: String::new(), parts, baselines: Default::default(), seen: 0, of_sheet: false };
        assert_eq!(in_means(&chart, Seconds(4.0)), None);
        let means = in_means(&chart, Seconds(60.0)).unwrap();
        let [wash, heat] = means.parts[0].intervals.as_slice() else { panic!("{means:?}") };
        assert_eq!((wash.kind, heat.kind), (Kind::Wash, Kind::Heat));
        assert_eq!(wash.lasts, Some(Limits { low: Seconds(840.0), high: Seconds(1_490.0) }));
        assert_eq!(heat.lasts, Some(Limits { low: Seconds(540.0), high: Seconds(960.0) }));
    }
}
