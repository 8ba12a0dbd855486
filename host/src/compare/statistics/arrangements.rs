//! The arrangements of units into groups that would be as likely if nothing differed: those that keep the size of each group in each
//! stratum.

use rand::SeedableRng;
use rand::seq::SliceRandom;
use rand_xoshiro::Xoshiro256PlusPlus;

/// What is drawn is drawn from here, so that the same cycles give the same answer.
const SEED: u64 = 20_261_128;

/// What is exchanged: a night, a cycle or a machine. Its group is one of the first numbers from 0 on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unit {
    /// Only units of one stratum are exchanged.
    pub stratum: usize,
    /// The group that it is of.
    pub group: u8,
}

/// The arrangements that are tried: all of them, or as many as were asked for, drawn at random with the one that was observed among them.
#[derive(Clone, Debug)]
pub struct Arrangements {
    /// The units of each stratum.
    strata: Vec<Vec<usize>>,
    observed: Vec<u8>,
    all: Option<Vec<Vec<u8>>>,
    count: usize,
}

impl Arrangements {
    /// All arrangements of these units, or `most` of them.
    #[must_use]
    pub fn of(units: &[Unit], most: usize) -> Self {
        let strata = units.iter().map(|u| u.stratum + 1).max().unwrap_or(0);
        let of = |s: usize| (0..units.len()).filter(|&i| units[i].stratum == s).collect();
        let strata: Vec<Vec<usize>> = (0..strata).map(of).collect();
        let observed: Vec<u8> = units.iter().map(|u| u.group).collect();
        let all = (number(units) <= most as f64).then(|| listed(&strata, &observed));
        let count = all.as_ref().map_or(most, Vec::len);
        Self { strata, observed, all, count }
    }

    /// How many are tried.
    #[must_use]
    pub const fn count(&self) -> usize {
        self.count
    }

    /// Whether these are all that there are.
    #[must_use]
    pub const fn is_all(&self) -> bool {
        self.all.is_some()
    }

    /// The groups of the units as they are.
    #[must_use]
    pub fn observed(&self) -> &[u8] {
        &self.observed
    }

    /// The units of each stratum.
    #[must_use]
    pub fn strata(&self) -> &[Vec<usize>] {
        &self.strata
    }

    /// The groups of the units in the arrangement with this index.
    #[must_use]
    pub fn get(&self, index: usize) -> Vec<u8> {
        if let Some(all) = &self.all {
            return all[index].clone();
        }
        if index == 0 {
            return self.observed.clone();
        }
        let mut random = Xoshiro256PlusPlus::seed_from_u64(SEED ^ (index as u64).rotate_left(32));
        let mut groups = self.observed.clone();
        for own in &self.strata {
            let mut labels: Vec<u8> = own.iter().map(|&i| self.observed[i]).collect();
            labels.shuffle(&mut random);
            own.iter().zip(labels).for_each(|(&i, label)| groups[i] = label);
        }
        groups
    }
}

/// How many arrangements there are, all in all.
#[must_use]
pub fn number(units: &[Unit]) -> f64 {
    let strata = units.iter().map(|u| u.stratum + 1).max().unwrap_or(0);
    let of = |s: usize| {
        let mut sizes = [0_usize; 256];
        units.iter().filter(|u| u.stratum == s).for_each(|u| sizes[usize::from(u.group)] += 1);
        multinomial(&sizes)
    };
    (0..strata).map(of).product()
}

fn multinomial(sizes: &[usize]) -> f64 {
    let (mut ways, mut all) = (1.0, 0);
    for &size in sizes {
        for k in 1..=size {
            all += 1;
            ways *= all as f64 / k as f64;
        }
    }
    ways.round()
}

/// The least p-value that groups of these units can give: as much difference as can be. Groups that are as large may change places, and the groups
/// differ as much.
#[must_use]
pub fn least_p(units: &[Unit]) -> f64 {
    let strata = units.iter().map(|u| u.stratum + 1).max().unwrap_or(0);
    let groups = units.iter().map(|u| u.group + 1).max().unwrap_or(0);
    let size = |s: usize, g: u8| units.iter().filter(|u| u.stratum == s && u.group == g).count();
    let mut sizes: Vec<Vec<usize>> = (0..groups).map(|g| (0..strata).map(|s| size(s, g)).collect()).collect();
    sizes.sort();
    let places = |alike: &[Vec<usize>]| (1..=alike.len()).product::<usize>() as f64;
    let alike: f64 = sizes.chunk_by(|a, b| a == b).map(places).product();
    (alike / number(units)).min(1.0)
}

/// The least number of units in each of two groups, as large as each other and in one stratum, that can give a p-value of `level`.
#[must_use]
pub fn enough(level: f64) -> usize {
    let units =
        |n: usize| -> Vec<Unit> { (0..2 * n).map(|i| Unit { stratum: 0, group: u8::from(i < n) }).collect() };
    (1..).find(|&n| least_p(&units(n)) <= level).unwrap_or(usize::MAX)
}

fn listed(strata: &[Vec<usize>], observed: &[u8]) -> Vec<Vec<u8>> {
    let mut all = vec![observed.to_vec()];
    for own in strata {
        let mut labels: Vec<u8> = own.iter().map(|&i| observed[i]).collect();
        labels.sort_unstable();
        let mut orders = vec![labels.clone()];
        while next_order(&mut labels) {
            orders.push(labels.clone());
        }
        let with = |groups: &Vec<u8>| {
            orders
                .iter()
                .map(|order| {
                    let mut groups = groups.clone();
                    own.iter().zip(order).for_each(|(&i, label)| groups[i] = *label);
                    groups
                })
                .collect::<Vec<_>>()
        };
        all = all.iter().flat_map(with).collect();
    }
    all
}

/// The next order of these labels, if there is one (Knuth, The Art of Computer Programming 4A, 7.2.1.2, algorithm L).
fn next_order(labels: &mut [u8]) -> bool {
    let Some(at) = labels.windows(2).rposition(|w| w[0] < w[1]) else { return false };
    let Some(with) = labels.iter().rposition(|l| *l > labels[at]) else { return false };
    labels.swap(at, with);
    labels[at + 1..].reverse();
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    fn units(sizes: &[(usize, usize)]) -> Vec<Unit> {
        let of = |(stratum, &(a, b)): (usize, &(usize, usize))| {
            (0..a + b).map(move |i| Unit { stratum, group: u8::from(i >= a) })
        };
        sizes.iter().enumerate().flat_map(of).collect()
    }

    /// By hand: 70 ways to choose 4 of 8, of which 2 differ as much as can be; 20 of 3 and 3.
    #[test]
    fn four_and_four_are_the_least_that_can_tell() {
        assert_eq!(number(&units(&[(4, 4)])), 70.0);
        assert!((least_p(&units(&[(4, 4)])) - 2.0 / 70.0).abs() < 1e-12);
        assert!((least_p(&units(&[(3, 3)])) - 0.1).abs() < 1e-12);
        assert!((least_p(&units(&[(3, 4)])) - 1.0 / 35.0).abs() < 1e-12);
        // Three groups of two: 90 arrangements, of which 6 differ as much.
        let three: Vec<Unit> = (0..6).map(|i| Unit { stratum: 0, group: i / 2 }).collect();
        assert!((least_p(&three) - 6.0 / 90.0).abs() < 1e-12);
        assert_eq!(enough(0.05), 4);
        // Of a machine with its before and after each, six are enough.
        assert!(least_p(&units(&[(1, 1); 5])) > 0.05 && least_p(&units(&[(1, 1); 6])) < 0.05);
    }

    #[test]
    fn all_are_listed_once_and_keep_their_sizes() {
        let units = units(&[(2, 2), (1, 2)]);
        let all = Arrangements::of(&units, 1_000);
        assert!(all.is_all() && all.count() == 18);
        let mut seen: Vec<Vec<u8>> = (0..18).map(|i| all.get(i)).collect();
        assert!(seen.iter().all(|g| g[..4].iter().sum::<u8>() == 2 && g[4..].iter().sum::<u8>() == 2));
        seen.sort();
        seen.dedup();
        assert_eq!(seen.len(), 18);
    }

    #[test]
    fn what_is_drawn_keeps_sizes_and_begins_with_what_was_observed() {
        let units = units(&[(20, 10), (5, 9)]);
        let drawn = Arrangements::of(&units, 500);
        assert!(!drawn.is_all() && drawn.count() == 500 && drawn.get(0) == drawn.observed());
        for i in 0..500 {
            let groups = drawn.get(i);
            let second = |range: std::ops::Range<usize>| groups[range].iter().filter(|g| **g == 1).count();
            assert_eq!((second(0..30), second(30..44)), (10, 9));
        }
        assert_ne!(drawn.get(1), drawn.get(2));
    }
}
