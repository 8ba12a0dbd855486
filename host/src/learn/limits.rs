//! Limits from few examples, as wide as few examples make them.

use super::constants::{ENOUGH, ODD_OF, OUTLYING, WORTH};
use crate::stats::{Prior, median, normal_mad, predictive};

/// Limits, and the example that may not have been a good one.
pub(super) struct Predicted {
    pub low: f64,
    pub high: f64,
    /// The one that is unlike all the others, if there is one.
    pub odd: Option<Lone>,
}

/// An example that is unlike all the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lone {
    pub value: f64,
    /// Whether the limits leave it out.
    pub set_aside: bool,
}

/// How limits are drawn around examples.
#[derive(Clone, Copy)]
pub(super) struct Drawn {
    /// Standard deviation of the logarithm, as believed before any example is seen.
    pub spread: f64,
    /// How wide limits are, in standard deviations of a normal distribution that is known.
    pub reach: f64,
}

/// Limits of examples. One of many that is unlike all the others is set aside first: a cycle among the good ones that was not, or
/// that was read wrongly. Two that are alike are a habit, and one of a few may be.
pub(super) fn predict(values: &[f64], drawn: Drawn) -> Predicted {
    let logs: Vec<f64> = values.iter().map(|v| v.max(1e-3).ln()).collect();
    let Some(lone) = lone_outlier(&logs, drawn.spread) else { return predict_all(values, drawn) };
    let set_aside = values.len() >= ODD_OF.get();
    let kept = values.iter().enumerate().filter(|(i, _)| !set_aside || *i != lone);
    let kept: Vec<f64> = kept.map(|(_, v)| *v).collect();
    Predicted { odd: Some(Lone { value: values[lone], set_aside }), ..predict_all(&kept, drawn) }
}

/// Limits of examples of which none is odd.
pub(super) fn predict_all(values: &[f64], drawn: Drawn) -> Predicted {
    let logs: Vec<f64> = values.iter().map(|v| v.max(1e-3).ln()).collect();
    let (low, high) = predictive(&logs, Prior { spread: drawn.spread, worth: WORTH.get() }, drawn.reach);
    Predicted { low: low.exp(), high: high.exp(), odd: None }
}

/// The only outlier, if there is exactly one.
fn lone_outlier(values: &[f64], spread: f64) -> Option<usize> {
    if values.len() < ENOUGH.get() {
        return None;
    }
    let middle = median(values);
    // What healthy cycles vary by is no reason to leave one out, however alike the others are.
    let deviation = normal_mad(values).max(spread);
    let mut outlying = (0..values.len()).filter(|&i| (values[i] - middle).abs() > OUTLYING.get() * deviation);
    outlying.next().filter(|_| outlying.next().is_none())
}

#[cfg(test)]
mod tests {
    use super::*;

    const DRAWN: Drawn = Drawn { spread: 0.05, reach: 3.090_232_306 };

    #[test]
    fn one_of_many_that_is_unlike_all_others_is_set_aside_and_two_are_not() {
        let alike = [100.0, 102.0, 99.0, 101.0, 100.0, 98.0, 101.0].repeat(3);
        let with = |more: &[f64]| predict(&[&alike, more].concat(), DRAWN);
        let plain = with(&[]);
        let one = with(&[160.0]);
        assert_eq!((plain.odd, one.odd), (None, Some(Lone { value: 160.0, set_aside: true })));
        assert_eq!((one.low, one.high), (plain.low, plain.high));
        let two = with(&[160.0, 158.0]);
        assert!(two.odd.is_none() && two.high > 160.0);
        assert!(predict(&[100.0, 101.0, 160.0], DRAWN).odd.is_none());
    }

    #[test]
    fn one_of_a_few_that_is_unlike_the_others_is_named_and_allowed() {
        let few = predict(&[100.0, 101.0, 99.0, 100.0, 102.0, 98.0, 160.0], DRAWN);
        assert_eq!(few.odd, Some(Lone { value: 160.0, set_aside: false }));
        assert!(few.high > 160.0);
    }

    #[test]
    fn one_example_is_wide_and_many_are_not() {
        let width = |values: &[f64]| {
            let Predicted { low, high, .. } = predict(values, DRAWN);
            assert!(values.iter().all(|v| (low..=high).contains(v)));
            high / low
        };
        let one = width(&[100.0]);
        let three = width(&[100.0, 101.0, 99.0]);
        let many = width(&[100.0, 101.0, 99.0].repeat(20));
        assert!(one > three && three > many, "{one} {three} {many}");
        assert!((2.0..3.5).contains(&one) && many < 1.2);
    }
}
