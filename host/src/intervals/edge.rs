//! How well the ends of an interval are known: by the resolution of the readings, and by how clear the change is.

use tubtrace_units::Seconds;

use super::constants::{CHANGE_VARIANCE, EDGE_READINGS, HEARD_FROM};
use crate::stats::{median, normal_mad};
use crate::trace::{Step, Trace};

/// Standard uncertainty of the time of a change. It lies anywhere within a reading (JCGM 100:2008, F.2.2.1). Noise moves the most
/// likely place of a step of height h in noise of standard deviation s by (s / h)^2 readings times the place of the maximum of a
/// Brownian motion with drift, whose variance is known (Yao 1987). Of power and both pickups the clearest counts; water is heard up to a reading
/// later than its valve or its pump is switched, which is one more rectangle where a pickup is the clearest.
pub(super) fn edge(at: Seconds, trace: &Trace) -> Seconds {
    let beside = trace.resolution * EDGE_READINGS.get();
    let before: Vec<Step> = trace.between(at - beside, at).collect();
    let after: Vec<Step> = trace.between(at, at + beside).collect();
    let heard = |noise: f64| noise.max(HEARD_FROM.get()).ln();
    let channels: [&dyn Fn(&Step) -> f64; 3] =
        [&|s| s.power.0, &|s| s.detail.map_or(0.0, |d| heard(d.supply.0)), &|s| {
            s.detail.map_or(0.0, |d| heard(d.drain.0))
        }];
    let unclear = |of: &dyn Fn(&Step) -> f64| {
        let values = |steps: &[Step]| steps.iter().map(of).collect::<Vec<f64>>();
        unclear(&values(&before), &values(&after))
    };
    let [power, supply, drain] = channels.map(unclear);
    let heard = supply.min(drain);
    let rectangles = if heard < power { 2.0 } else { 1.0 };
    let readings = (rectangles / 12.0 + CHANGE_VARIANCE.get() * power.min(heard).powi(4)).sqrt();
    (trace.resolution * readings).min(beside)
}

/// Noise over the height of the step between these values; infinite where there is none to see.
fn unclear(before: &[f64], after: &[f64]) -> f64 {
    if before.is_empty() || after.is_empty() {
        return f64::INFINITY;
    }
    let height = (median(after) - median(before)).abs();
    if height > 0.0 { normal_mad(before).max(normal_mad(after)) / height } else { f64::INFINITY }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: the median absolute deviation of 0, 1, 2 is 1, as a standard deviation 1.4826; the step is 10 high.
    #[test]
    fn a_step_is_as_unclear_as_its_noise() {
        assert!((unclear(&[0.0, 1.0, 2.0], &[10.0, 11.0, 12.0]) - 0.14826).abs() < 1e-4);
        assert_eq!(unclear(&[5.0, 5.0], &[7.0, 7.0]), 0.0);
        assert_eq!(unclear(&[5.0, 5.0], &[5.0, 5.0]), f64::INFINITY);
        assert_eq!(unclear(&[], &[5.0]), f64::INFINITY);
    }
}
