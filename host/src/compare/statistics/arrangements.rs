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

/// The least p-value that two groups of these units can give: as much difference as can be, either way. Where both groups are as large, the
/// mirrored arrangement differs as much.
#[must_use]
pub fn least_p(units: &[Unit]) -> f64 {
    let strata = units.iter().map(|u| u.stratum + 1).max().unwrap_or(0);
    let size = |s: usize, g: u8| units.iter().filter(|u| u.stratum == s && u.group == g).count();
    let mirrored = (0..strata).all(|s| size(s, 0) == size(s, 1));
    let alike = if mirrored { 2.0 } else { 1.0 };
    (alike / number(units)).min(1.0)
}

/// The least number of units in each of two groups, as large as each other and in one stratum, that can give a p-value of `level`.
#[must_use]
pub fn enough(level: f64) -> usize {
    let units = |n: usize| -> Vec<Unit> {
        (0..2 * n).map(|i| Unit { stratum: 0, group: u8::from(i < n) }).collect()
    };
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
            orders.iter().map(|order| {
                let mut groups = groups.clone();
                own.iter().zip(order).for_each(|(&i, label)| groups[i] = *label);
                groups
            }).collect::<Vec<_>>()
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
