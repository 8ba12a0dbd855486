//! Whether stated uncertainties mean what they say: how often the truth lies within them.

use std::collections::{BTreeMap, BTreeSet};

use tubtrace_units::{Load, Loads};

use crate::program::Interval;

/// The loads by which what is found is paired with what was: all others are too small for most meters.
pub const MAIN: [Load; 4] = [Load::Heater, Load::WashPump, Load::DrainPump, Load::FillValve];

/// Intervals whose durations are counted.
const TIMED: [&str; 4] = ["fill", "drain", "heat", "wash"];

/// A valve that opens for less than this while the wash pump runs tops up, seconds: nothing else of that kind lasts for 3 to 7 s in the second world, and in a
/// purge the drain pump runs as well.
const TOP_UP: f64 = 10.0;

/// What is less certain is not told, and so states no uncertainty.
const TOLD_FROM: f64 = 0.6;

/// Stated values of some quantities beside the truth.
#[derive(Clone, Debug, Default)]
pub struct Coverage {
    /// For each quantity the error and the stated expanded uncertainty (k = 2) of each value, in its unit.
    values: BTreeMap<String, Vec<(f64, f64)>>,
    /// The quantities of which only an upper bound is stated: the truth may lie anywhere below.
    bounds: BTreeSet<String>,
    /// For each quantity how many values were stated that nothing true corresponds to.
    unpaired: BTreeMap<String, u64>,
}

impl Coverage {
    /// Counts a value.
    pub fn count(&mut self, what: &str, stated: f64, truth: f64, uncertainty: f64) {
        self.values.entry(what.to_owned()).or_default().push((stated - truth, uncertainty));
    }

    /// Counts a value that is stated as an upper bound.
    pub fn count_bound(&mut self, what: &str, most: f64, truth: f64, uncertainty: f64) {
        self.bounds.insert(what.to_owned());
        self.count(what, most, truth, uncertainty);
    }

    /// Counts a value of something that was not there.
    pub fn unpaired(&mut self, what: &str) {
        *self.unpaired.entry(what.to_owned()).or_default() += 1;
    }

    /// Adds another.
    pub fn add(&mut self, other: &Self) {
        for (what, values) in &other.values {
            self.values.entry(what.clone()).or_default().extend(values);
        }
        self.bounds.extend(other.bounds.iter().cloned());
        for (what, count) in &other.unpaired {
            *self.unpaired.entry(what.clone()).or_default() += count;
        }
    }

    /// Part of the values of a quantity whose uncertainty holds the truth, or whose upper bound with its uncertainty does; none, where there are none.
    #[must_use]
    pub fn of(&self, what: &str) -> Option<f64> {
        let values = self.values.get(what)?;
        let bound = self.bounds.contains(what);
        let within = |(error, stated): &&(f64, f64)| -error <= *stated && (bound || *error <= *stated);
        let within = values.iter().filter(within).count();
        Some(within as f64 / values.len() as f64)
    }

    /// A table of all quantities, in Markdown. Bias is the median of error over stated uncertainty.
    #[must_use]
    pub fn table(&self) -> String {
        let mut text = String::from(
            "| stated | values | truth within | median of what is stated | median error | 95 % of errors below | bias | nothing such there |\n|---|---|---|---|---|---|---|---|\n",
        );
        for (what, values) in &self.values {
            let quantile = |of: &dyn Fn(&(f64, f64)) -> f64, part: f64| {
                let mut all: Vec<f64> = values.iter().map(of).collect();
                all.sort_by(f64::total_cmp);
                all[(part * (all.len() - 1) as f64).round() as usize]
            };
            text.push_str(&format!(
                "| {what} | {} | {}{:.1} % | {:.3} | {:+.3} | {:.3} | {:+.2} | {} |\n",
                values.len(),
                if self.bounds.contains(what) { "one-sided: " } else { "" },
                100.0 * self.of(what).unwrap_or(0.0),
                quantile(&|v| v.1, 0.5),
                quantile(&|v| v.0, 0.5),
                quantile(&|v| v.0.abs(), 0.95),
                quantile(&|v| v.0 / v.1.max(f64::MIN_POSITIVE), 0.5),
                self.unpaired.get(what).unwrap_or(&0)
            ));
        }
        text
    }
}

/// A stretch in which the same main loads really ran.
#[derive(Clone, Copy, Debug)]
pub struct Stretch {
    /// Which.
    pub loads: Loads,
    /// From when, in seconds.
    pub start: f64,
    /// Until when.
    pub end: f64,
}

/// Neighbours of the same main loads as one, over what is shorter than `rest` seconds too: readings that far apart do not show it.
#[must_use]
pub fn joined(stretches: impl IntoIterator<Item = Stretch>, rest: f64) -> Vec<Stretch> {
    let mut all: Vec<Stretch> = Vec::new();
    let lasts = |s: &Stretch| s.end - s.start;
    for next in stretches {
        match all.as_mut_slice() {
            [.., last] if last.loads == next.loads => last.end = next.end,
            [.., before, between] if before.loads == next.loads && lasts(between) < rest => {
                before.end = next.end;
                all.pop();
            }
            _ => all.push(next),
        }
    }
    all
}

/// What really ran, told in each of the ways in which it may be found. What small loads do within a wash parts it in two or does not, and nobody is wrong
/// who tells it either way: which loads are told is counted elsewhere.
#[derive(Clone, Debug)]
pub struct Truths([Vec<Stretch>; 3]);

impl Truths {
    /// Of what single loads did, from and to; rests shorter than `rest` seconds are none.
    #[must_use]
    pub fn of(loads: &[(Load, f64, f64)], rest: f64) -> Self {
        let main = |(load, ..): &&(Load, f64, f64)| MAIN.contains(load);
        let dispensed = |one: &&(Load, f64, f64)| main(one) || one.0 == Load::Dispenser;
        let pumps = || loads.iter().filter(|l| l.0 == Load::WashPump);
        let tops_up = |&(load, from, to): &(Load, f64, f64)| {
            load == Load::FillValve
                && to - from < TOP_UP
                && pumps().any(|&(_, on, off)| on <= from && to <= off)
        };
        let only = |of: &dyn Fn(&&(Load, f64, f64)) -> bool| {
            of_loads(&loads.iter().filter(of).copied().collect::<Vec<_>>(), rest)
        };
        Self([only(&main), only(&dispensed), only(&|one| main(one) && !tops_up(one))])
    }

    /// The same by the telling of the main loads alone, which nobody chose by what was found.
    #[must_use]
    pub fn same_main(&self, loads: Loads, start: f64, end: f64) -> Option<Stretch> {
        same(&self.0[0], loads.with(Load::Dispenser, false), start, end).copied()
    }

    /// The true stretch that a found interval of `loads` is, of all tellings the one that shares most with it: it is of the same loads, and both together
    /// last for less than twice as long as what they share.
    #[must_use]
    pub fn same(&self, loads: Loads, start: f64, end: f64) -> Option<Stretch> {
        let shares = |s: &Stretch| {
            (s.end.min(end) - s.start.max(start))
                / (s.end.max(end) - s.start.min(start)).max(f64::MIN_POSITIVE)
        };
        let main = loads.with(Load::Dispenser, false);
        let own = self.0.iter().zip([main, loads, main]);
        let own = own.filter_map(|(stretches, loads)| same(stretches, loads, start, end));
        own.copied().max_by(|a, b| shares(a).total_cmp(&shares(b)))
    }
}

/// The stretches of what single loads did; between them nothing ran.
fn of_loads(loads: &[(Load, f64, f64)], rest: f64) -> Vec<Stretch> {
    let mut changes: Vec<(f64, Load, bool)> =
        loads.iter().flat_map(|&(load, from, to)| [(from, load, true), (to, load, false)]).collect();
    // At one moment what goes off goes first.
    changes.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.2.cmp(&b.2)));
    let mut stretches = Vec::new();
    let mut now = Loads::NONE;
    for (i, &(at, load, on)) in changes.iter().enumerate() {
        now = now.with(load, on);
        let end = changes.get(i + 1).map_or(at, |c| c.0);
        if end > at {
            stretches.push(Stretch { loads: now, start: at, end });
        }
    }
    joined(stretches, rest)
}

/// The stretch of these loads with which an interval shares most, if it is that.
fn same(stretches: &[Stretch], loads: Loads, start: f64, end: f64) -> Option<&Stretch> {
    let shared = |s: &Stretch| s.end.min(end) - s.start.max(start);
    let own = stretches.iter().filter(|s| s.loads == loads && shared(s) > 0.0);
    let most = own.max_by(|a, b| shared(a).total_cmp(&shared(b)))?;
    (2.0 * shared(most) > most.end.max(end) - most.start.min(start)).then_some(most)
}

/// Counts what is stated of the durations of found intervals, and gives those that were there, each with its stretch.
pub fn durations<'a>(
    coverage: &mut Coverage,
    found: &'a [Interval],
    truths: &'a Truths,
) -> Vec<(&'a Interval, Stretch)> {
    let mut paired = Vec::new();
    for interval in found.iter().filter(|i| i.certainty >= TOLD_FROM && TIMED.contains(&i.name.as_str())) {
        let what = format!("duration of a {}, s", interval.name);
        let runs = |load: &Load| interval.loads.iter().any(|l| l == load.word());
        let told = MAIN.iter().chain([&Load::Dispenser]).filter(|l| runs(l));
        let loads = told.fold(Loads::NONE, |all, l| all.with(*l, true));
        let mut count = |what: &str, stretch: Option<Stretch>| match stretch {
            Some(Stretch { start, end, .. }) => {
                coverage.count(what, interval.end - interval.start, end - start, interval.lasts_doubt);
            }
            None => coverage.unpaired(what),
        };
        let closest = truths.same(loads, interval.start, interval.end);
        count(&what, closest);
        let main = truths.same_main(loads, interval.start, interval.end);
        count(&format!("{what}, of the main loads alone"), main);
        paired.extend(closest.map(|stretch| (interval, stretch)));
    }
    paired
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: errors of 1, 2 and 3 of which two are within 2.
    #[test]
    fn what_is_within_is_counted() {
        let mut coverage = Coverage::default();
        [1.0, -2.0, 3.0].iter().for_each(|error| coverage.count("x", 10.0 + error, 10.0, 2.0));
        assert_eq!(coverage.of("x"), Some(2.0 / 3.0));
        assert_eq!(coverage.of("y"), None);
    }

    /// By hand: of an upper bound only an error below it, by more than is stated, is none.
    #[test]
    fn a_bound_holds_whatever_lies_below_it() {
        let mut coverage = Coverage::default();
        [3.0, -1.0, -3.0].iter().for_each(|error| coverage.count_bound("x", 10.0 + error, 10.0, 2.0));
        assert_eq!(coverage.of("x"), Some(2.0 / 3.0));
    }

    #[test]
    fn a_short_rest_is_not_seen_and_a_long_one_is() {
        let pump = [(Load::WashPump, 0.0, 10.0), (Load::WashPump, 10.5, 20.0), (Load::WashPump, 26.0, 40.0)];
        let stretches = of_loads(&pump, 1.0);
        let spans: Vec<_> = stretches.iter().map(|s| (s.start, s.end, s.loads == Loads::NONE)).collect();
        assert_eq!(spans, [(0.0, 20.0, false), (20.0, 26.0, true), (26.0, 40.0, false)]);
        let wash = Loads::of(&[Load::WashPump]);
        assert_eq!(same(&stretches, wash, 1.0, 21.0).map(|s| s.end), Some(20.0));
        assert!(same(&stretches, wash, 15.0, 40.0).is_some_and(|s| s.start == 26.0));
        assert!(same(&stretches, wash, 0.0, 41.0).is_none());
    }

    /// By hand: a pump that runs for 300 s, with a valve for 4 s and a dispenser for 50 s in that time.
    #[test]
    fn what_small_loads_do_in_a_wash_may_be_told_or_not() {
        let truths = Truths::of(
            &[(Load::WashPump, 0.0, 300.0), (Load::FillValve, 14.0, 18.0), (Load::Dispenser, 100.0, 150.0)],
            1.0,
        );
        let wash = Loads::of(&[Load::WashPump]);
        let found = |loads, from, to| truths.same(loads, from, to).map(|s| (s.start, s.end));
        assert_eq!(found(wash, 1.0, 299.0), Some((0.0, 300.0)));
        assert_eq!(found(wash, 19.0, 299.0), Some((18.0, 300.0)));
        assert_eq!(found(wash, 60.0, 140.0), None);
        assert_eq!(found(wash, 19.0, 99.0), Some((18.0, 100.0)));
        assert_eq!(found(wash.with(Load::Dispenser, true), 99.0, 152.0), Some((100.0, 150.0)));
    }
}
