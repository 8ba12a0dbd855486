//! The evidence for cycles being of one programme: how many nats it takes to write them down together.
//!
//! Each column of a profile is written down by its kind, by which of the cycles have it (Krichevsky and Trofimov, IEEE Transactions on
//! Information Theory 27, 1981), and by how long it lasted in each: the marginal likelihood of the logarithms under a normal distribution
//! of unknown mean and variance, with the conjugate prior (Murphy, Conjugate Bayesian analysis of the Gaussian distribution, 2007, section
//! 5; Gelman et al., Bayesian Data Analysis, 3rd ed., 3.3). Nothing is fitted, so more programmes pay for what they say by themselves:
//! the shorter description is the better one (Rissanen, Automatica 14, 1978), and no penalty is added.

use std::collections::BTreeMap;

use libm::lgamma;
use tubtrace_units::Seconds;

use super::constants::{IN_COMMON, SPREAD, SPREAD_OF_TYPICAL, TYPICAL, WORTH};
use super::cores::Core;
use super::profile::{Column, ENOUGH, Profile, spread};
use super::spreads::blur;

/// Kinds that an interval of a chart may be of: fill, wash, heat, drain, dry, pause.
const KINDS: f64 = 6.0;

/// What is known of a machine before its programmes are: how long its intervals of each kind last. The programmes of a machine have many
/// intervals in common, so half of those of a programme are believed to be as long as one that was seen in any cycle.
pub(super) struct Known {
    resolution: Seconds,
    /// Logarithms of durations, by the kind's word; of many, some that are spread over all.
    seen: BTreeMap<&'static str, Vec<f64>>,
}

impl Known {
    /// Of all cycles, with `resolution` between two readings.
    pub(super) fn of(examples: &[Vec<Core>], resolution: Seconds) -> Self {
        let mut all: BTreeMap<&'static str, Vec<f64>> = BTreeMap::new();
        for core in examples.iter().flatten() {
            all.entry(core.kind.word()).or_default().push(core.duration.0.max(1.0).ln());
        }
        for logs in all.values_mut() {
            logs.sort_by(f64::total_cmp);
            *logs = spread(logs.len(), ENOUGH).map(|i| logs[i]).collect();
        }
        Self { resolution, seen: all }
    }

    /// How many nats it takes to write down the cycles of a profile.
    pub(super) fn nats(&self, profile: &Profile) -> f64 {
        profile.columns.iter().map(|column| self.of_column(column)).sum()
    }

    fn of_column(&self, column: &Column) -> f64 {
        let durations: Vec<f64> = column.cores.iter().flatten().map(|c| c.duration.0.max(1.0)).collect();
        let seen = self.seen.get(column.kind().word()).map_or(&[][..], Vec::as_slice);
        KINDS.ln()
            + presence(durations.len(), column.cores.len())
            + lengths(&durations, seen, self.resolution)
    }
}

/// How many nats less it takes to name the members of groups of these sizes when the two are one, where a group is chosen by how many are
/// in it already, or a new one like one that has a single member (Aldous, 1985: the Chinese restaurant process).
pub(super) fn saved_by_joining(a: usize, b: usize) -> f64 {
    let ways = |n: usize| lgamma(n as f64);
    ways(a + b) - ways(a) - ways(b)
}

/// Which `some` of `all` cycles have it: the Krichevsky-Trofimov code.
fn presence(some: usize, all: usize) -> f64 {
    let (with, without) = (some as f64 + 0.5, (all - some) as f64 + 0.5);
    let beta = |a: f64, b: f64| lgamma(a) + lgamma(b) - lgamma(a + b);
    beta(0.5, 0.5) - beta(with, without)
}

/// How long each was: about as long as anything, or as one of those that were seen.
fn lengths(durations: &[f64], seen: &[f64], resolution: Seconds) -> f64 {
    let logs: Vec<f64> = durations.iter().map(|d| d.ln()).collect();
    let n = logs.len() as f64;
    let mean = logs.iter().sum::<f64>() / n.max(1.0);
    let squares: f64 = logs.iter().map(|l| (l - mean).powi(2)).sum();
    let variance = SPREAD.get().powi(2) + blur(resolution, Seconds(mean.exp())).powi(2);
    let (worth, before) = (WORTH.get(), variance / SPREAD_OF_TYPICAL.get().powi(2));
    let freedom = worth + n;
    let about = |centre: f64, before: f64| {
        let after = before + n;
        let off = (mean - centre).powi(2) * n * before / after;
        let spread = worth * variance + squares + off;
        0.5 * (before / after).ln() - freedom / 2.0 * spread.ln()
    };
    let anywhere = about(TYPICAL.get().0.ln(), before);
    let like: Vec<f64> = seen.iter().map(|&log| about(log, 1.0)).collect();
    let most = like.iter().copied().fold(anywhere, f64::max);
    let like = like.iter().map(|l| (l - most).exp()).sum::<f64>() / like.len().max(1) as f64;
    let known = if seen.is_empty() { 0.0 } else { IN_COMMON.get() };
    let about = most + ((1.0 - known) * (anywhere - most).exp() + known * like).ln();
    let log_density = lgamma(freedom / 2.0) - lgamma(worth / 2.0) + worth / 2.0 * (worth * variance).ln()
        - n / 2.0 * std::f64::consts::PI.ln()
        + about;
    -log_density
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One value has a Student's t density: centre ln 120 s, `WORTH` degrees of freedom, and the scale of mean and value together.
    #[test]
    fn one_duration_is_written_down_by_students_t() {
        let (worth, spread, wide) = (WORTH.get(), SPREAD.get(), SPREAD_OF_TYPICAL.get());
        let scale = (spread * spread + wide * wide).sqrt();
        for seconds in [20.0_f64, 120.0, 2_000.0] {
            let z = (seconds / TYPICAL.get().0).ln() / scale;
            let density = lgamma((worth + 1.0) / 2.0)
                - lgamma(worth / 2.0)
                - 0.5 * (worth * std::f64::consts::PI).ln()
                - scale.ln()
                - (worth + 1.0) / 2.0 * (1.0 + z * z / worth).ln();
            assert!((lengths(&[seconds], &[], Seconds(0.0)) + density).abs() < 1e-9, "{seconds}");
        }
    }

    /// The Krichevsky-Trofimov code of a sequence is the product of its predictions, (k + 1/2) / (n + 1).
    #[test]
    fn presence_is_predicted_one_by_one() {
        let sequence = [true, true, false, true, true];
        let (mut nats, mut with) = (0.0, 0.0);
        for (n, came) in sequence.into_iter().enumerate() {
            let probability = (with + 0.5) / (n as f64 + 1.0);
            nats -= (if came { probability } else { 1.0 - probability }).ln();
            with += f64::from(u8::from(came));
        }
        assert!((presence(4, 5) - nats).abs() < 1e-9);
    }

    #[test]
    fn what_is_alike_is_shorter_together() {
        let apart = |a: &[f64], b: &[f64]| lengths(a, &[], Seconds(1.0)) + lengths(b, &[], Seconds(1.0));
        let (a, b) = ([300.0, 303.0], [299.0, 301.0]);
        assert!(lengths(&[a, b].concat(), &[], Seconds(1.0)) < apart(&a, &b));
        let far = [900.0, 905.0];
        assert!(lengths(&[a, far].concat(), &[], Seconds(1.0)) > apart(&a, &far) - 2.0 * KINDS.ln());
    }

    /// What was seen elsewhere is believed half of the time, and shared by all that was seen: the best that it can save is little less than
    /// the ratio of both densities, and what is unlike all of it costs the half.
    #[test]
    fn what_the_machine_does_elsewhere_is_shorter_to_write_down() {
        let alone = |seconds: f64, seen: &[f64]| lengths(&[seconds], seen, Seconds(1.0));
        let seen = [300.0_f64.ln(), 305.0_f64.ln()];
        let saved = |seconds: f64| alone(seconds, &[]) - alone(seconds, &seen);
        assert!(saved(302.0) > 1.5, "{}", saved(302.0));
        assert!((saved(3_000.0) - 0.5_f64.ln()).abs() < 0.02, "{}", saved(3_000.0));
    }
}
