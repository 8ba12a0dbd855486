//! What so few or so many units could have shown.

use super::permutation::{Tested, t_of};
use crate::stats::{reach, t};

/// The smallest difference of a question that these units show in `power` of all cases, among all that was asked: where the difference is
/// this, its t is beyond the critical one as often (the sum of both quantiles; NIST/SEMATECH e-Handbook, 7.2.2.2). None where nothing could be.
#[must_use]
pub fn least_shown(tested: &Tested, question: usize, power: f64) -> Option<f64> {
    let (freedom, information) = (tested.freedom[question], tested.information[question]);
    if freedom < 1.0 || information <= 0.0 || !tested.critical.is_finite() {
        return None;
    }
    let beyond = t_of(tested.critical, freedom) + t(reach(1, 1.0 - power), freedom);
    Some(beyond * (tested.variance[question] / information).sqrt())
}
