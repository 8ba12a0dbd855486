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
use super::score::{Scores, Tried};
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

#[cfg(test)]
mod tests {
    use super::super::examples::{EARLY, FIRST, SECOND, TERM, fisher};
    use super::super::prepared::Scale;
    use super::super::score::t_of;
    use super::super::spread::from_own_median;
    use super::*;

    fn of_groups(groups: &[&[f64]]) -> (Vec<Unit>, Vec<f64>) {
        let unit = |(g, v): (usize, &&[f64])| vec![Unit { stratum: 0, group: g as u8 }; v.len()];
        (groups.iter().enumerate().flat_map(unit).collect(), groups.concat())
    }

    fn asked(groups: &[&[f64]]) -> (Tested, Arrangements) {
        let (units, values) = of_groups(groups);
        let column = Column { values: values.into_iter().map(Some).collect(), scale: Scale::Measured(0.0) };
        let arrangements = Arrangements::of(&units, 20_000);
        (test(&units, &[column], &arrangements, 0.05), arrangements)
    }

    /// `scipy.stats.permutation_test` of the difference of means, SciPy 1.17.1, over all arrangements (`tests/references/groups.py`): of one
    /// question, any question is that one.
    #[test]
    fn agrees_with_scipy_over_all_arrangements() {
        let (tested, arrangements) = asked(&[&TERM, &EARLY]);
        assert!(arrangements.is_all() && arrangements.count() == 3_003);
        assert!((tested.p[0] - 0.131_868_132).abs() < 1e-8, "{}", tested.p[0]);
        assert_eq!(tested.p, tested.of_any);
        // Student's t of the same: `scipy.stats.ttest_ind`, -1.606136660 with 13 degrees of freedom.
        assert!((t_of(tested.score[0], 13.0) - 1.606_136_66).abs() < 1e-8);
    }

    /// The two-sample t test of NIST/SEMATECH e-Handbook, 1.3.5.3 (AUTO83B.DAT): of 249 values with mean 20.14458 and standard deviation
    /// 6.41470 and 79 with 30.48101 and 6.10771, T = -12.62059 with 326 degrees of freedom, pooled standard deviation 6.34260 (section and numbers from memory).
    #[test]
    fn agrees_with_the_handbook_on_t() {
        let of = |count: u32, mean: f64, deviation: f64| -> Vec<f64> {
            let middle = f64::from(count - 1) / 2.0;
            let scale =
                (f64::from(count) * (f64::from(count).powi(2) - 1.0) / 12.0 / f64::from(count - 1)).sqrt();
            (0..count).map(|i| mean + deviation * (f64::from(i) - middle) / scale).collect()
        };
        let (units, values) = of_groups(&[&of(249, 20.144_58, 6.414_70), &of(79, 30.481_01, 6.107_71)]);
        let column = Column { values: values.into_iter().map(Some).collect(), scale: Scale::Measured(0.0) };
        let tested = test(&units, &[column], &Arrangements::of(&units, 100), 0.05);
        assert!((t_of(tested.score[0], 326.0) - 12.620_59).abs() < 1e-4, "{}", t_of(tested.score[0], 326.0));
        assert!((tested.variance[0].sqrt() - 6.342_60).abs() < 1e-5 && tested.p[0] == 0.01);
    }

    /// `scipy.stats.levene(center="median")`, SciPy 1.17.1: W is the square of t; no value is far enough here to be held within.
    #[test]
    fn agrees_with_brown_and_forsythe() {
        let second = [64.0, 63.0, 66.0, 64.0, 65.0, 64.0, 63.0, 69.0];
        let (units, values) = of_groups(&[&FIRST, &second]);
        let values: Vec<Option<f64>> = values.into_iter().map(Some).collect();
        let groups: Vec<usize> = units.iter().map(|u| usize::from(u.group)).collect();
        let off = from_own_median(&values, &groups);
        let column = Column { values: off, scale: Scale::Often };
        let tested = test(&units, &[column], &Arrangements::of(&units, 20_000), 0.05);
        let w = t_of(tested.score[0], 14.0).powi(2);
        assert!((w - 0.608_695_652).abs() < 1e-8, "{w}");
    }

    /// The example of the NAG library's Kruskal-Wallis test (g08af): H = 10.537 (from memory).
    #[test]
    fn agrees_with_kruskal_and_wallis() {
        let groups: [&[f64]; 5] = [
            &[23.0, 27.0, 26.0, 19.0, 30.0],
            &[29.0, 25.0, 33.0, 36.0, 32.0, 28.0, 30.0, 31.0],
            &[38.0, 31.0, 28.0, 35.0, 33.0, 36.0],
            &[30.0, 27.0, 28.0, 22.0, 33.0, 34.0, 34.0, 32.0],
            &[31.0, 33.0, 31.0, 28.0, 30.0, 24.0, 29.0, 30.0],
        ];
        let (tested, _) = asked(&groups);
        assert!((tested.score[0] - 10.537).abs() < 5e-4, "{}", tested.score[0]);
        // The library has 0.032 by the chi-squared distribution.
        assert!((tested.p[0] - 0.032).abs() < 0.01, "{}", tested.p[0]);
    }

    /// `scipy.stats.fisher_exact`, SciPy 1.17.1 (`tests/references/groups.py`); the first is Fisher's own, of the tea.
    #[test]
    fn agrees_with_fisher() {
        for (first, second, p) in [
            ((3, 4), (1, 4), 0.485_714_286),
            ((8, 10), (1, 6), 0.034_965_035),
            ((12, 200), (30, 200), 0.005_046_034),
            ((0, 40), (5, 35), 0.018_809_008),
        ] {
            assert!((fisher(first, second) - p).abs() < 1e-8, "{}", fisher(first, second));
        }
        assert_eq!(fisher((0, 4), (0, 7)), 1.0);
    }

    /// How often something comes, asked of all arrangements of its cycles, is Fisher's exact test where both groups are as large: what is as
    /// unlikely is as far apart.
    #[test]
    fn how_often_is_fisher_s_test() {
        for (first, second) in [(3, 1), (5, 0), (4, 3), (6, 2)] {
            let of = |came: u32| (0..8).map(move |i| Some(f64::from(u8::from(i < came))));
            let unit = |i: usize| Unit { stratum: 0, group: u8::from(i >= 8) };
            let units: Vec<Unit> = (0..16).map(unit).collect();
            let column = Column { values: of(first).chain(of(second)).collect(), scale: Scale::Often };
            let tested = test(&units, &[column], &Arrangements::of(&units, 20_000), 0.05);
            let exact = fisher((first as usize, 8), (second as usize, 8));
            assert!((tested.p[0] - exact).abs() < 1e-9, "{first} and {second}: {} for {exact}", tested.p[0]);
        }
    }

    /// One odd value does not hide what all others show, and what is asked beside it raises the probability of any, not its own.
    #[test]
    fn an_odd_value_hides_nothing() {
        let (units, values) = of_groups(&[&FIRST, &SECOND]);
        let column = |values: Vec<f64>| Column {
            values: values.into_iter().map(Some).collect(),
            scale: Scale::Measured(1.0),
        };
        let noise = |seed: usize| column((0..16).map(|i| ((i * 37 + seed * 61) % 23) as f64).collect());
        let columns: Vec<Column> = std::iter::once(column(values)).chain((0..20).map(noise)).collect();
        let tested = test(&units, &columns, &Arrangements::of(&units, 20_000), 0.05);
        assert!(tested.p[0] < 0.001 && tested.of_any[0] < 0.05, "{} {}", tested.p[0], tested.of_any[0]);
        assert!(tested.of_any.iter().zip(&tested.p).all(|(any, own)| any >= own));
        assert!((1..21).all(|i| tested.of_any[i] > 0.05), "{:?}", tested.of_any);
    }

    /// What machines differ by is no difference between groups that each have all machines.
    #[test]
    fn strata_are_taken_out() {
        let values = [10.0, 10.4, 11.0, 11.2, 50.1, 50.3, 51.2, 51.0, 90.0, 90.2, 91.0, 91.4];
        let unit = |i: usize| Unit { stratum: i / 4, group: u8::from(i % 4 >= 2) };
        let column = || Column { values: values.map(Some).into(), scale: Scale::Measured(0.1) };
        let with: Vec<Unit> = (0..12).map(unit).collect();
        let without: Vec<Unit> = with.iter().map(|u| Unit { stratum: 0, ..*u }).collect();
        let asked = |units: &[Unit]| test(units, &[column()], &Arrangements::of(units, 20_000), 0.05).p[0];
        assert!((asked(&with) - 2.0 / 216.0).abs() < 1e-12, "{}", asked(&with));
        assert!(asked(&without) > 0.5);
    }

    /// What some units have no value of is asked of the others.
    #[test]
    fn what_is_missing_is_left_out() {
        let (units, values) = of_groups(&[&FIRST, &SECOND]);
        let mut some: Vec<Option<f64>> = values.into_iter().map(Some).collect();
        some[3] = None;
        some[15] = None;
        let column = Column { values: some, scale: Scale::Measured(0.0) };
        let tested = test(&units, &[column], &Arrangements::of(&units, 20_000), 0.05);
        assert_eq!(tested.freedom[0], 12.0);
        let left = [61.0, 62.0, 60.0, 63.0, 61.0, 60.0, 62.0];
        let (alone, _) = asked(&[&left, &SECOND[..7]]);
        assert!((tested.score[0] - alone.score[0]).abs() < 1e-9);
    }
}
