//! Limits that hold so large a part of all values that will come, where they are set from few.

use super::distributions::{chi_squared_quantile, normal_quantile, shifted_t_quantile};

/// How many standard deviations from the mean of so many values a one-sided limit is, so that with this confidence this part of all values is within it:
/// exact for normal values (NIST/SEMATECH e-Handbook, 7.2.6.3; Natrella, Experimental Statistics, 1963). Of fewer than two values it has no end.
#[must_use]
pub fn one_sided(count: usize, part: f64, confidence: f64) -> f64 {
    if count < 2 {
        return f64::INFINITY;
    }
    let root = (count as f64).sqrt();
    shifted_t_quantile(confidence, count as f64 - 1.0, normal_quantile(part) * root) / root
}

/// The same on both sides, by Howe's approximation (Journal of the American Statistical Association 64, 1969; NIST/SEMATECH e-Handbook, 7.2.6.3), which is
/// within half a percent of the exact factor from five values on (`tests/references/bench.py`).
#[must_use]
pub fn two_sided(count: usize, part: f64, confidence: f64) -> f64 {
    if count < 2 {
        return f64::INFINITY;
    }
    let (n, freedom) = (count as f64, count as f64 - 1.0);
    let least = chi_squared_quantile(1.0 - confidence, freedom);
    normal_quantile(f64::midpoint(1.0, part)) * (freedom * (1.0 + 1.0 / n) / least).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook, 7.2.6.3: 43 values, 90 % at 99 %: k1 1.8740, k2 2.2173.
    #[test]
    fn agree_with_the_example() {
        assert!((one_sided(43, 0.90, 0.99) - 1.874_0).abs() < 1e-4, "{}", one_sided(43, 0.90, 0.99));
        assert!((two_sided(43, 0.90, 0.99) - 2.217_3).abs() < 1e-4, "{}", two_sided(43, 0.90, 0.99));
    }

    /// SciPy 1.17.1 (`tests/references/bench.py`): one-sided by the noncentral t, two-sided by Howe, and the exact two-sided one by quadrature.
    #[test]
    fn agree_with_scipy() {
        for (n, part, sure, one, howe, exact) in [
            (5, 0.95, 0.95, 4.202_68, 5.093_53, 5.076_87),
            (10, 0.95, 0.95, 2.910_96, 3.381_91, 3.393_43),
            (20, 0.95, 0.95, 2.396_00, 2.752_28, 2.760_35),
            (20, 0.99, 0.95, 3.295_16, 3.617_12, 3.620_99),
            (200, 0.95, 0.95, 1.837_24, 2.142_55, 2.142_94),
        ] {
            let found = (one_sided(n, part, sure), two_sided(n, part, sure));
            assert!((found.0 - one).abs() < 2e-5 && (found.1 - howe).abs() < 2e-5, "{n}: {found:?}");
            assert!((found.1 / exact - 1.0).abs() < 0.005, "{n}: {found:?}");
        }
        assert_eq!(two_sided(1, 0.95, 0.95), f64::INFINITY);
    }
}
