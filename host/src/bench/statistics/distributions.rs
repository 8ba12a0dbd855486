//! Distributions and their quantiles. Quantiles are found by halving, for what is asked of them is asked seldom.

use libm::lgamma;
use statrs::function::beta::beta_reg;
use statrs::function::gamma::gamma_lr;

use crate::stats::above;

/// Halvings of a bracket: more than a double has bits.
const HALVINGS: usize = 100;

/// Where a rising function reaches `wanted`, between these two.
fn reached(wanted: f64, (mut low, mut high): (f64, f64), rises: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if rises(middle) < wanted { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

/// The quantile of the standard normal distribution, of a part between 0 and 1.
pub(super) fn normal_quantile(part: f64) -> f64 {
    reached(part, (-40.0, 40.0), |z| 1.0 - above(z))
}

/// The quantile of the chi-squared distribution with this freedom.
pub(super) fn chi_squared_quantile(part: f64, freedom: f64) -> f64 {
    let most = freedom + 40.0 * (2.0 * freedom).sqrt() + 100.0;
    reached(part, (0.0, most), |x| if x > 0.0 { gamma_lr(freedom / 2.0, x / 2.0) } else { 0.0 })
}

/// The quantile of the beta distribution with these parameters, both above 0.
pub(super) fn beta_quantile(part: f64, a: f64, b: f64) -> f64 {
    reached(part, (0.0, 1.0), |x| beta_reg(a, b, x))
}

/// The quantile of Student's t that is not about 0: (Z + `shift`) / sqrt(chi-squared / freedom).
pub(super) fn shifted_t_quantile(part: f64, freedom: f64, shift: f64) -> f64 {
    let most = 40.0 + 20.0 * shift.abs() * (1.0 + 10.0 / freedom);
    reached(part, (-most, most), |t| shifted_t(t, freedom, shift))
}

/// The part of that distribution below `t`: the normal distribution at t s - shift, averaged over s, whose square times the freedom is
/// chi-squared (Johnson and Welch, Biometrika 31, 1940), by Simpson's rule.
fn shifted_t(t: f64, freedom: f64, shift: f64) -> f64 {
    const STEPS: usize = 400;
    let spread = 1.0 / (2.0 * freedom).sqrt();
    let (from, to) = ((1.0 - 9.0 * spread).max(0.0), 1.0 + 9.0 * spread);
    let width = (to - from) / STEPS as f64;
    let log = (2.0_f64).ln() + freedom / 2.0 * (freedom / 2.0).ln() - lgamma(freedom / 2.0);
    let density = |s: f64| (log + (freedom - 1.0) * s.max(1e-300).ln() - freedom * s * s / 2.0).exp();
    let at = |i: usize| {
        let s = from + i as f64 * width;
        let weight = if i == 0 || i == STEPS { 1.0 } else { 2.0 + 2.0 * (i % 2) as f64 };
        let density = density(s);
        (weight * density, weight * density * (1.0 - above(t * s - shift)))
    };
    let (all, below) = (0..=STEPS).map(at).fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    below / all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook, 1.3.6.7: tables of the normal (1.95996 of 0.975), the chi-squared (3.940 and 18.307 of 0.05 and 0.95 with
    /// freedom 10) and Student's distribution (2.228 of 0.975 with freedom 10); the last is the shifted one without a shift.
    #[test]
    fn agree_with_the_tables() {
        assert!((normal_quantile(0.975) - 1.959_964).abs() < 1e-6);
        assert!((chi_squared_quantile(0.05, 10.0) - 3.940).abs() < 5e-4);
        assert!((chi_squared_quantile(0.95, 10.0) - 18.307).abs() < 5e-4);
        assert!((shifted_t_quantile(0.975, 10.0, 0.0) - 2.228).abs() < 5e-4);
    }
}
