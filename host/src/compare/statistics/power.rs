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
