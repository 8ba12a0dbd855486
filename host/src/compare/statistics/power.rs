//! What so few or so many units could have shown.

use super::permutation::Tested;
use super::score::t_of;
use crate::stats::reach;

/// After so many rounds a difference and its own uncertainty agree to far more digits than are told.
const ROUNDS: usize = 50;

/// The smallest difference of a question that other units, as many and of the same kind, would show in `power` of all cases, among all that was
/// asked. Of a difference d, in standard errors, t is about normal about d with a variance of 1 + t² / 2f, f being the degrees of freedom (the
/// noncentral t as Johnson and Welch have it, Biometrika 31, 1940). The standard error is itself an estimate of these few units, whose variance
/// is a 2f-th part of its square, so a difference that is told in it is uncertain by d² / 2f more: d - c = z √(1 + (c² + d²) / 2f), where c is
/// the critical t and z the quantile of `power`. None where nothing could be shown, or the freedom is so small that no difference would be sure.
#[must_use]
pub fn least_shown(tested: &Tested, question: usize, power: f64) -> Option<f64> {
    let (freedom, information) = (tested.freedom[question], tested.information[question]);
    let z = reach(1, 1.0 - power);
    if freedom < 1.0 || information <= 0.0 || !tested.critical.is_finite() || z * z >= 2.0 * freedom {
        return None;
    }
    let critical = t_of(tested.critical, freedom);
    let beyond = (0..ROUNDS)
        .fold(critical, |d, _| critical + z * (1.0 + (critical * critical + d * d) / (2.0 * freedom)).sqrt());
    Some(beyond * (tested.variance[question] / information).sqrt())
}

/// How far the groups may differ in a question by chance, where all questions lie within theirs at the level that was tested: the difference that has
/// the critical score. None where nothing could be shown.
#[must_use]
pub fn band(tested: &Tested, question: usize) -> Option<f64> {
    let (freedom, information) = (tested.freedom[question], tested.information[question]);
    let can = freedom >= 1.0 && information > 0.0 && tested.critical.is_finite();
    can.then(|| t_of(tested.critical, freedom) * (tested.variance[question] / information).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tested(freedom: f64, critical: f64) -> Tested {
        let one = || vec![1.0];
        let (variance, information) = (vec![4.0], vec![25.0]);
        Tested {
            score: one(),
            p: one(),
            of_any: one(),
            critical,
            variance,
            information,
            freedom: vec![freedom],
        }
    }

    /// Where the spread is known, the sum of two quantiles of the normal distribution, 1.95996 + 0.84162 (from memory), in standard errors.
    #[test]
    fn of_very_many_the_spread_is_known() {
        let least = least_shown(&tested(1e9, 1.959_96), 0, 0.8).unwrap();
        assert!((least - 2.801_58 * 2.0 / 5.0).abs() < 1e-4, "{least}");
    }

    #[test]
    fn of_few_more_is_told_and_of_next_to_none_nothing() {
        let of = |freedom| least_shown(&tested(freedom, 1.959_96), 0, 0.8);
        assert!(of(10.0).unwrap() > of(22.0).unwrap() && of(22.0).unwrap() > of(1e9).unwrap());
        assert_eq!(of(0.0), None);
        assert_eq!(least_shown(&tested(22.0, f64::INFINITY), 0, 0.8), None);
    }
}
