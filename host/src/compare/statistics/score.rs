//! By how much groups differ in one arrangement of their units.

use super::arrangements::Arrangements;
use super::prepared::Prepared;

/// What is tried: values made ready, and their arrangements.
pub(super) struct Tried<'a> {
    /// The values of all questions.
    pub prepared: Prepared,
    /// How units may be arranged.
    pub arrangements: &'a Arrangements,
    /// How many groups there are.
    pub groups: usize,
}

/// What each question comes to in one arrangement: the fields of `Tested` that it has.
pub(super) struct Scores {
    pub score: Vec<f64>,
    pub variance: Vec<f64>,
    pub information: Vec<f64>,
    pub freedom: Vec<f64>,
}

impl Tried<'_> {
    /// Of two groups: the part r of a question's variation that its groups explain (the partial correlation with the group, strata taken
    /// out), as the normal deviate of the t that it is (Wallace, Annals of Mathematical Statistics 30, 1959, 1.5), so that questions of
    /// few units and of many can be held against each other. Of more: H = (n - 1) r² over ranks (Kruskal and Wallis, Journal
    /// of the American Statistical Association 47, 1952).
    pub fn scores(&self, groups: &[u8]) -> Scores {
        let of_two = self.groups <= 2;
        let Prepared { width, squares, present, partial, .. } = &self.prepared;
        let (mut between, mut information) = (vec![0.0; *width], vec![0.0; *width]);
        let mut across = vec![vec![0.0; *width]; if of_two { 1 } else { self.groups }];
        let mut counts = vec![vec![0.0; *width]; across.len()];
        for (stratum, units) in self.arrangements.strata().iter().enumerate() {
            for (group, sums) in across.iter_mut().enumerate() {
                let own = units.iter().filter(|&&u| usize::from(groups[u]) == group);
                let (size, has) = self.add(own, sums);
                let mut has = partial.iter().zip(has).peekable();
                for (c, present) in present.iter().enumerate() {
                    let n = has.next_if(|(at, _)| **at == c).map_or(size, |(_, n)| n);
                    let all = present[stratum] as f64;
                    counts[group][c] += n;
                    information[c] += if all > 0.0 { n * (all - n) / all } else { 0.0 };
                }
            }
        }
        for (sums, counts) in across.iter().zip(&counts) {
            for c in 0..*width {
                let by = if of_two { information[c] } else { counts[c] };
                between[c] += if by > 0.0 { sums[c] * sums[c] / by } else { 0.0 };
            }
        }
        let strata = |c: usize| present[c].iter().filter(|n| **n > 0).count();
        let freedom: Vec<f64> = (0..*width)
            .map(|c| present[c].iter().sum::<usize>() as f64 - strata(c) as f64 - (self.groups as f64 - 1.0))
            .collect();
        let score = (0..*width).map(|c| {
            if squares[c] <= 0.0 || freedom[c] < 1.0 {
                return 0.0;
            }
            let explained = (between[c] / squares[c]).clamp(0.0, 1.0 - 1e-12);
            if of_two {
                deviate(explained, freedom[c])
            } else {
                (freedom[c] + self.groups as f64 - 1.0) * explained
            }
        });
        let score = score.collect();
        let variance =
            (0..*width).map(|c| (squares[c] - between[c]).max(0.0) / freedom[c].max(1.0)).collect();
        Scores { score, variance, information, freedom }
    }

    /// Adds up the values of these units, and how many they are, and how many have a value of each column that not all have.
    fn add<'u>(&self, units: impl Iterator<Item = &'u usize>, sums: &mut [f64]) -> (f64, Vec<f64>) {
        let Prepared { width, values, has, partial, .. } = &self.prepared;
        let (mut count, mut with) = (0.0, vec![0.0; partial.len()]);
        for &unit in units {
            count += 1.0;
            let row = &values[unit * width..(unit + 1) * width];
            sums.iter_mut().zip(row).for_each(|(sum, value)| *sum += value);
            let row = &has[unit * partial.len()..(unit + 1) * partial.len()];
            with.iter_mut().zip(row).for_each(|(sum, one)| *sum += one);
        }
        (count, with)
    }
}

/// The normal deviate of a t with this freedom that explains such a part of all variation.
fn deviate(explained: f64, freedom: f64) -> f64 {
    (8.0 * freedom + 1.0) / (8.0 * freedom + 3.0) * (-freedom * (-explained).ln_1p()).sqrt()
}

/// The t with this freedom that has this normal deviate.
#[must_use]
pub fn t_of(deviate: f64, freedom: f64) -> f64 {
    let z = deviate * (8.0 * freedom + 3.0) / (8.0 * freedom + 1.0);
    (freedom * (z * z / freedom).exp_m1()).sqrt()
}
