//! By how much the second group lies above the first.

use super::rank_sum::RankSum;

/// Halvings after which two numbers are as near as they can be told.
const HALVINGS: usize = 80;

/// The values of two groups, stratum by stratum: only what is of one stratum is held against each other.
#[derive(Clone, Debug)]
pub struct Pairs {
    strata: Vec<[Vec<f64>; 2]>,
}

impl Pairs {
    /// Of the values of the first and the second group in each stratum. A stratum with none of either tells nothing, and is left out.
    #[must_use]
    pub fn of(strata: impl IntoIterator<Item = [Vec<f64>; 2]>) -> Self {
        let both = |s: &[Vec<f64>; 2]| s.iter().all(|group| !group.is_empty());
        let mut strata: Vec<[Vec<f64>; 2]> = strata.into_iter().filter(both).collect();
        strata.iter_mut().flatten().for_each(|group| group.sort_by(f64::total_cmp));
        Self { strata }
    }

    /// How many pairs there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.strata.iter().map(|[a, b]| a.len() * b.len()).sum()
    }

    /// The median of all differences between a value of the second group and one of the first (Hodges and Lehmann, Annals of
    /// Mathematical Statistics 34, 1963). None where there is no pair.
    #[must_use]
    pub fn shift(&self) -> Option<f64> {
        let count = self.count();
        (count > 0).then(|| f64::midpoint(self.ordered((count - 1) / 2), self.ordered(count / 2)))
    }

    /// The interval of that shift with so much confidence: all shifts that the rank sum does not refute (Moses; Hollander, Wolfe and
    /// Chicken, Nonparametric Statistical Methods, 3rd ed., 4.3). None where there are too few values for one.
    #[must_use]
    pub fn interval(&self, confidence: f64) -> Option<(f64, f64)> {
        let left_out = self.rank_sum().leaves_out((1.0 - confidence) / 2.0)?;
        let count = self.count();
        (2 * left_out <= count).then(|| (self.ordered(left_out - 1), self.ordered(count - left_out)))
    }

    /// How much more often a value of the second group is above one of the first than below it, from -1 to 1 (Cliff, Psychological
    /// Bulletin 114, 1993). None where there is no pair.
    #[must_use]
    pub fn delta(&self) -> Option<f64> {
        let count = self.count() as f64;
        (count > 0.0).then(|| (2.0 * self.above(0.0) - count) / count)
    }

    /// The probability that as many pairs or more have the second above the first by more than `margin`, were that the shift: small, where
    /// the shift is greater. One side of the rank sum test.
    #[must_use]
    pub fn not_greater(&self, margin: f64) -> f64 {
        self.rank_sum().at_least(self.above(margin))
    }

    /// The same where the shift is less.
    #[must_use]
    pub fn not_less(&self, margin: f64) -> f64 {
        self.rank_sum().at_least(self.count() as f64 - self.above(margin))
    }

    /// How many pairs have a difference above `margin`; those at it count a half.
    fn above(&self, margin: f64) -> f64 {
        let up_to = |inclusive| self.strata.iter().map(|s| up_to(s, margin, inclusive)).sum::<usize>() as f64;
        self.count() as f64 - f64::midpoint(up_to(true), up_to(false))
    }

    fn rank_sum(&self) -> RankSum {
        let sizes: Vec<(usize, usize)> = self.strata.iter().map(|[a, b]| (a.len(), b.len())).collect();
        RankSum::of(&sizes)
    }

    /// The difference with this index when all are put in order; they are never listed, for of a thousand values each they are a million.
    fn ordered(&self, index: usize) -> f64 {
        let ends = self.strata.iter().map(|[a, b]| (b[0] - a[a.len() - 1], b[b.len() - 1] - a[0]));
        let (mut low, mut high) =
            ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), (from, to)| (l.min(from), h.max(to)));
        let reaches = |value: f64| self.strata.iter().map(|s| up_to(s, value, true)).sum::<usize>() > index;
        if reaches(low) {
            return low;
        }
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if middle <= low || middle >= high {
                break;
            }
            if reaches(middle) { high = middle } else { low = middle }
        }
        // The greatest difference that is no greater: the one that was looked for.
        self.strata.iter().filter_map(|s| greatest_up_to(s, high)).fold(low, f64::max)
    }
}

/// How many differences of a stratum are below `value`, or at it.
fn up_to([first, second]: &[Vec<f64>; 2], value: f64, inclusive: bool) -> usize {
    let (mut all, mut reached) = (0, 0);
    for a in first {
        let within = |b: &f64| if inclusive { b - a <= value } else { b - a < value };
        while second.get(reached).is_some_and(within) {
            reached += 1;
        }
        all += reached;
    }
    all
}

/// The greatest difference of a stratum that is no greater than `value`.
fn greatest_up_to([first, second]: &[Vec<f64>; 2], value: f64) -> Option<f64> {
    let last = |a: &f64| second.partition_point(|b| b - a <= value).checked_sub(1).map(|i| second[i] - a);
    first.iter().filter_map(last).max_by(f64::total_cmp)
}

#[cfg(test)]
mod tests {
    use super::super::examples::{EARLY, FIRST, SECOND, TERM};
    use super::*;

    fn pairs(a: &[f64], b: &[f64]) -> Pairs {
        Pairs::of([[a.to_vec(), b.to_vec()]])
    }

    /// NumPy 2.4.6 and `scipy.stats.mannwhitneyu(method="exact")`, SciPy 1.17.1 (`tests/references/groups.py`); the interval as the
    /// book has it.
    #[test]
    fn agrees_with_scipy_and_the_book() {
        let permeability = pairs(&TERM, &EARLY);
        assert!((permeability.shift().unwrap() + 0.305).abs() < 1e-12);
        let (low, high) = permeability.interval(0.95).unwrap();
        assert!((low + 0.76).abs() < 1e-9 && (high - 0.15).abs() < 1e-9, "{low} {high}");
        assert!((permeability.delta().unwrap() + 0.4).abs() < 1e-12);
        assert!((permeability.not_greater(0.0) - 0.896_769_897).abs() < 1e-8);
        assert!((permeability.not_less(0.5) - 0.000_333_000).abs() < 1e-8);
        let drain = pairs(&FIRST, &SECOND);
        assert_eq!(drain.shift(), Some(3.0));
        assert_eq!(drain.delta(), Some(0.968_75));
        assert!((drain.not_greater(0.5) - 0.000_310_800).abs() < 1e-8);
        assert!((drain.not_less(0.5) - 0.999_844_600).abs() < 1e-8);
    }

    #[test]
    fn the_difference_that_is_looked_for_is_the_one_that_a_list_has() {
        let a: Vec<f64> = (0..37).map(|i| f64::from(i * 7919 % 101) / 3.0).collect();
        let b: Vec<f64> = (0..23).map(|i| f64::from(i * 104_729 % 97) / 7.0).collect();
        let both = Pairs::of([[a[..20].to_vec(), b[..9].to_vec()], [a[20..].to_vec(), b[9..].to_vec()]]);
        let list = |a: &[f64], b: &[f64]| -> Vec<f64> {
            a.iter().flat_map(|x| b.iter().map(move |y| y - x)).collect()
        };
        let mut all = [list(&a[..20], &b[..9]), list(&a[20..], &b[9..])].concat();
        all.sort_by(f64::total_cmp);
        for (i, difference) in all.iter().enumerate() {
            assert_eq!(both.ordered(i), *difference, "{i}");
        }
    }

    #[test]
    fn too_few_have_no_interval() {
        assert_eq!(pairs(&[1.0, 2.0, 3.0], &[7.0, 8.0, 9.0]).interval(0.95), None);
        assert_eq!(Pairs::of([[vec![1.0], vec![]]]).shift(), None);
    }
}
