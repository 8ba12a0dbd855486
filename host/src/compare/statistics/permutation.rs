//! Many questions of the same units at once, each by how often chance makes as much difference, and all of them by how often it makes as
//! much of any.
//!
//! Units are exchanged between the groups, and every question is asked of every arrangement: p is the part of them in which it differs as
//! much (Fisher, The Design of Experiments, 1935; with the observed one among those that were drawn: Phipson and Smyth, Statistical
//! Applications in Genetics and Molecular Biology 9, 2010). For all questions together the greatest difference of any decides, step by
//! step from the greatest down (Westfall and Young, Resampling-Based Multiple Testing, 1993, algorithm 4.1): whatever they have to do with
//! each other is in every arrangement.

use super::arrangements::{Arrangements, Unit};
use super::prepared::{Column, Prepared};
use crate::parallel;

/// So many arrangements are tried in one go.
const IN_ONE_GO: usize = 64;

/// No two differences are told apart that differ by less than this part: sums in another order.
const ROUNDING: f64 = 1e-9;

/// What became of questions that were asked at once.
#[derive(Clone, Debug)]
pub struct Tested {
    /// Of each question, how much differs: about a normal deviate for two groups, Kruskal and Wallis's H for more.
    pub score: Vec<f64>,
    /// Of each question, the probability of as much by chance.
    pub p: Vec<f64>,
    /// Of each question, the probability that chance makes as much of any.
    pub of_any: Vec<f64>,
    /// The greatest score of any question that chance exceeds no more often than the level that was asked for.
    pub critical: f64,
    /// The variance of each question within groups and strata, in the square of its unit.
    pub variance: Vec<f64>,
    /// The information in each question: the variance divided by it is that of the difference of two groups.
    pub information: Vec<f64>,
    /// Its degrees of freedom.
    pub freedom: Vec<f64>,
}

/// Asks all columns of these arrangements; `level` is the chance of any false alarm for which the critical score is told.
#[must_use]
pub fn test(units: &[Unit], columns: &[Column], arrangements: &Arrangements, level: f64) -> Tested {
    let groups = arrangements.observed().iter().map(|g| usize::from(*g) + 1).max().unwrap_or(0);
    let tried = Tried { prepared: Prepared::of(units, columns, groups > 2), arrangements, groups };
    let observed = tried.scores(arrangements.observed());
    let score = observed.score.clone();
    let mut order: Vec<usize> = (0..score.len()).collect();
    order.sort_by(|&a, &b| score[b].total_cmp(&score[a]));
    let starts: Vec<usize> = (0..arrangements.count()).step_by(IN_ONE_GO).collect();
    let counts = parallel::map(&starts, |&start| {
        let end = (start + IN_ONE_GO).min(arrangements.count());
        let mut count = Counts::of(score.len());
        (start..end).for_each(|at| count.add(&tried.scores(&arrangements.get(at)).score, &score, &order));
        count
    });
    let count = counts.into_iter().fold(Counts::of(score.len()), Counts::and);
    let all = arrangements.count() as f64;
    let mut of_any = vec![1.0; score.len()];
    let mut least = 0.0_f64;
    for &i in &order {
        least = least.max(count.of_any[i] as f64 / all);
        of_any[i] = least;
    }
    let mut greatest = count.greatest;
    greatest.sort_by(|a, b| b.total_cmp(a));
    let critical = greatest.get((level * all) as usize).copied().unwrap_or(f64::INFINITY);
    let p = count.own.iter().map(|n| *n as f64 / all).collect();
    let Scores { variance, information, freedom, .. } = observed;
    Tested { score, p, of_any, critical, variance, information, freedom }
}

/// In how many arrangements a question differs as much, and any does.
struct Counts {
    own: Vec<usize>,
    of_any: Vec<usize>,
    greatest: Vec<f64>,
}

impl Counts {
    fn of(questions: usize) -> Self {
        Self { own: vec![0; questions], of_any: vec![0; questions], greatest: Vec::new() }
    }

    /// Takes in an arrangement, the questions from that which differs most on down being `order`.
    fn add(&mut self, score: &[f64], observed: &[f64], order: &[usize]) {
        let mut greatest = 0.0_f64;
        for &i in order.iter().rev() {
            greatest = greatest.max(score[i]);
            let as_much = observed[i] * (1.0 - ROUNDING);
            self.own[i] += usize::from(score[i] >= as_much);
            self.of_any[i] += usize::from(greatest >= as_much);
        }
        self.greatest.push(greatest);
    }

    fn and(mut self, other: Self) -> Self {
        self.own.iter_mut().zip(other.own).for_each(|(n, more)| *n += more);
        self.of_any.iter_mut().zip(other.of_any).for_each(|(n, more)| *n += more);
        self.greatest.extend(other.greatest);
        self
    }
}

struct Tried<'a> {
    prepared: Prepared,
    arrangements: &'a Arrangements,
    groups: usize,
}

struct Scores {
    score: Vec<f64>,
    variance: Vec<f64>,
    information: Vec<f64>,
    freedom: Vec<f64>,
}

impl Tried<'_> {
    /// Of two groups: the part r of a question's variation that its groups explain (the partial correlation with the group, strata taken
    /// out), as the normal deviate of the t that it is (Wallace, Annals of Mathematical Statistics 30, 1959, 1.5), so that questions of
    /// few units and of many can be held against each other. Of more: H = (n - 1) r² over ranks (Kruskal and Wallis, Journal
    /// of the American Statistical Association 47, 1952).
    fn scores(&self, groups: &[u8]) -> Scores {
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
            if of_two { deviate(explained, freedom[c]) } else { (freedom[c] + self.groups as f64 - 1.0) * explained }
        });
        let score = score.collect();
        let variance = (0..*width).map(|c| (squares[c] - between[c]).max(0.0) / freedom[c].max(1.0)).collect();
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
