//! Programmes: which of a machine's cycles are of the same one, by evidence alone.
//!
//! Every cycle is a programme of its own at first; the two whose joining shortens the description most are joined, until none shortens it
//! (bottom-up as in Heller and Ghahramani, Bayesian Hierarchical Clustering, ICML 2005, with the description length of `evidence.rs`).

use tubtrace_units::Seconds;

use super::cores::Core;
use super::evidence::{Known, saved_by_joining};
use super::profile::{Profile, spread};

/// So many cycles show which programmes there are; of more, so many that are spread over all are joined, and the rest go to the programme
/// that they fit.
const ENOUGH: usize = 60;

/// The cycles of one programme so far.
struct Programme {
    /// As positions in the examples.
    members: Vec<usize>,
    profile: Profile,
    nats: f64,
}

/// The examples, programme by programme, as positions in `examples`: the most frequent programme first.
pub(super) fn programmes(examples: &[Vec<Core>], resolution: Seconds) -> Vec<Vec<usize>> {
    let known = &Known::of(examples, resolution);
    let some: Vec<usize> = spread(examples.len(), ENOUGH).collect();
    let single = |&i: &usize| Programme::of(i, examples, known);
    let mut found = joined(some.iter().map(single).collect(), examples, known);
    for i in (0..examples.len()).filter(|i| !some.contains(i)) {
        let own = Programme::of(i, examples, known);
        let joins = found.iter().enumerate().map(|(at, p)| (at, p.join(&own, examples, known)));
        match joins.max_by(|a, b| a.1.1.total_cmp(&b.1.1)) {
            Some((at, (together, gain))) if gain > 0.0 => found[at] = together,
            _ => found.push(own),
        }
    }
    let mut found: Vec<Vec<usize>> = found.into_iter().map(|p| p.members).collect();
    found.iter_mut().for_each(|members| members.sort_unstable());
    found.sort_by_key(|members| (std::cmp::Reverse(members.len()), members[0]));
    found
}

/// Joins the two that gain most, again and again.
fn joined(mut all: Vec<Programme>, examples: &[Vec<Core>], known: &Known) -> Vec<Programme> {
    let gain = |a: &Programme, b: &Programme| a.join(b, examples, known).1;
    let mut gains: Vec<Vec<f64>> =
        (0..all.len()).map(|i| (0..i).map(|j| gain(&all[i], &all[j])).collect()).collect();
    loop {
        let pairs = (0..all.len()).flat_map(|i| (0..i).map(move |j| (i, j)));
        let best = pairs.max_by(|a, b| gains[a.0][a.1].total_cmp(&gains[b.0][b.1]));
        let Some((i, j)) = best.filter(|&(i, j)| gains[i][j] > 0.0) else { return all };
        let later = all.remove(i);
        all[j] = all[j].join(&later, examples, known).0;
        gains.remove(i);
        gains.iter_mut().skip(i).for_each(|row| _ = row.remove(i));
        for other in 0..all.len() {
            let (row, column) = (other.max(j), other.min(j));
            if row != column {
                gains[row][column] = gain(&all[row], &all[column]);
            }
        }
    }
}

impl Programme {
    fn of(member: usize, examples: &[Vec<Core>], known: &Known) -> Self {
        let profile = Profile::new(examples[member].clone());
        Self { members: vec![member], nats: known.nats(&profile), profile }
    }

    /// Both as one, and by how many nats that is shorter.
    fn join(&self, other: &Self, examples: &[Vec<Core>], known: &Known) -> (Self, f64) {
        let (large, small) =
            if self.members.len() >= other.members.len() { (self, other) } else { (other, self) };
        let mut profile = large.profile.clone();
        for &member in &small.members {
            let fit = profile.fit(&examples[member]);
            profile.add(examples[member].clone(), &fit);
        }
        let nats = known.nats(&profile);
        let gain = self.nats + other.nats - nats + saved_by_joining(self.members.len(), other.members.len());
        let members = large.members.iter().chain(&small.members).copied().collect();
        (Self { members, profile, nats }, gain)
    }
}
