//! What so few or so many units could have shown.

use super::permutation::{Tested, t_of};
use crate::stats::reach;

/// The smallest difference of a question that these units show in `power` of all cases, among all that was asked: where the difference is
/// this, its t is beyond the critical one as often (the noncentral t as Johnson and Welch have it, Biometrika 31, 1940: about normal, with a variance of
/// 1 + t² / 2 degrees of freedom). None where nothing could be.
#[must_use]
pub fn least_shown(tested: &Tested, question: usize, power: f64) -> Option<f64> {
    let (freedom, information) = (tested.freedom[question], tested.information[question]);
    if freedom < 1.0 || information <= 0.0 || !tested.critical.is_finite() {
        return None;
    }
    let critical = t_of(tested.critical, freedom);
    let beyond = critical + reach(1, 1.0 - power) * (1.0 + critical * critical / (2.0 * freedom)).sqrt();
    Some(beyond * (tested.variance[question] / information).sqrt())
}
