//! The evidence for cycles being of one programme: how many nats it takes to write them down together.
//!
//! Each column of a profile is written down by its kind, by which of the cycles have it (Krichevsky and Trofimov, IEEE Transactions on
//! Information Theory 27, 1981), and by how long it lasted in each: the marginal likelihood of the logarithms under a normal distribution
//! of unknown mean and variance, with the conjugate prior (Murphy, Conjugate Bayesian analysis of the Gaussian distribution, 2007, section
//! 5; Gelman et al., Bayesian Data Analysis, 3rd ed., 3.3). Nothing is fitted, so more programmes pay for what they say by themselves:
//! the shorter description is the better one (Rissanen, Automatica 14, 1978), and no penalty is added.

use libm::lgamma;
use tubtrace_units::Seconds;

use super::constants::{SPREAD, SPREAD_OF_TYPICAL, TYPICAL, WORTH};
use super::profile::{Column, Profile};
use super::spreads::blur;

/// Kinds that an interval of a chart may be of: fill, wash, heat, drain, dry, pause.
const KINDS: f64 = 6.0;

/// How many nats it takes to write down the cycles of a profile, with `resolution` between two readings.
pub(super) fn nats(profile: &Profile, resolution: Seconds) -> f64 {
    profile.columns.iter().map(|column| of_column(column, resolution)).sum()
}

/// How many nats less it takes to name the members of groups of these sizes when the two are one, where a group is chosen by how many are
/// in it already, or a new one like one that has a single member (Aldous, 1985: the Chinese restaurant process).
pub(super) fn saved_by_joining(a: usize, b: usize) -> f64 {
    let ways = |n: usize| lgamma(n as f64);
    ways(a + b) - ways(a) - ways(b)
}

fn of_column(column: &Column, resolution: Seconds) -> f64 {
    let durations: Vec<f64> = column.cores.iter().flatten().map(|c| c.duration.0.max(1.0)).collect();
    KINDS.ln() + presence(durations.len(), column.cores.len()) + lengths(&durations, resolution)
}

/// Which `some` of `all` cycles have it: the Krichevsky-Trofimov code.
fn presence(some: usize, all: usize) -> f64 {
    let (with, without) = (some as f64 + 0.5, (all - some) as f64 + 0.5);
    let beta = |a: f64, b: f64| lgamma(a) + lgamma(b) - lgamma(a + b);
    beta(0.5, 0.5) - beta(with, without)
}

/// How long each was.
fn lengths(durations: &[f64], resolution: Seconds) -> f64 {
    let logs: Vec<f64> = durations.iter().map(|d| d.ln()).collect();
    let n = logs.len() as f64;
    let mean = logs.iter().sum::<f64>() / n.max(1.0);
    let squares: f64 = logs.iter().map(|l| (l - mean).powi(2)).sum();
    let variance = SPREAD.get().powi(2) + blur(resolution, Seconds(mean.exp())).powi(2);
    let (worth, before) = (WORTH.get(), variance / SPREAD_OF_TYPICAL.get().powi(2));
    let (after, freedom) = (before + n, worth + n);
    let off = (mean - TYPICAL.get().0.ln()).powi(2) * n * before / after;
    let spread = worth * variance + squares + off;
    let log_density = lgamma(freedom / 2.0) - lgamma(worth / 2.0)
        + 0.5 * (before / after).ln()
        + worth / 2.0 * (worth * variance).ln()
        - freedom / 2.0 * spread.ln()
        - n / 2.0 * std::f64::consts::PI.ln();
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
            assert!((lengths(&[seconds], Seconds(0.0)) + density).abs() < 1e-9, "{seconds}");
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
        let apart = |a: &[f64], b: &[f64]| lengths(a, Seconds(1.0)) + lengths(b, Seconds(1.0));
        let (a, b) = ([300.0, 303.0], [299.0, 301.0]);
        assert!(lengths(&[a, b].concat(), Seconds(1.0)) < apart(&a, &b));
        let far = [900.0, 905.0];
        assert!(lengths(&[a, far].concat(), Seconds(1.0)) > apart(&a, &far) - 2.0 * KINDS.ln());
    }
}
