//! Uncertainty: standard uncertainties into one, and a limit that is held with a guard band, so that what lies within the
//! uncertainty of a limit is "cannot tell" and no fault.

use super::constants::COVERAGE;

/// The expanded uncertainty of a sum of independent quantities of these standard uncertainties (JCGM 100:2008, equation 10
/// with sensitivities of one, and 6.2.1).
pub(super) fn expanded(standard: &[f64]) -> f64 {
    COVERAGE.get() * standard.iter().map(|u| u * u).sum::<f64>().sqrt()
}

/// The standard uncertainty of a reading that may be anywhere within a resolution (JCGM 100:2008, F.2.2.1).
pub(super) fn of_resolution(resolution: f64) -> f64 {
    resolution / 12.0_f64.sqrt()
}

/// How much surer the median of so many is than one: the standard error of a mean, and of a median by the root of half pi more, but never
/// more than that of one (Kenney and Keeping, Mathematics of Statistics, part 1, 1962, 13.13, from memory).
pub(super) fn of_a_median(of: usize) -> f64 {
    (std::f64::consts::FRAC_PI_2 / of.max(1) as f64).sqrt().min(1.0)
}

/// What a measurement says of limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Conformity {
    /// The value lies within the limits, whatever its uncertainty.
    Within,
    /// Below the lower limit, and whether by more than the guard band.
    Below(Band),
    /// Above the upper limit, and whether by more than the guard band.
    Above(Band),
}

impl Conformity {
    /// How far outside it is, if it is.
    pub(super) const fn band(self) -> Option<Band> {
        match self {
            Self::Within => None,
            Self::Below(band) | Self::Above(band) => Some(band),
        }
    }
}

/// Where outside of a limit a measurement lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Band {
    /// So near that it cannot be told.
    Guard,
    /// Outside by more than the guard band: it does not conform.
    Beyond,
}

/// The decision of guarded rejection: what is outside a limit by more than the guard band, here the expanded uncertainty, does
/// not conform (JCGM 106:2012, 8.3.3). Whoever complains is to be right with 97.7 %.
pub(super) fn decide(measured: f64, limits: (Option<f64>, Option<f64>), expanded: f64) -> Conformity {
    let band = |outside: f64| if outside > expanded { Band::Beyond } else { Band::Guard };
    match limits {
        (Some(low), _) if measured < low => Conformity::Below(band(low - measured)),
        (_, Some(high)) if measured > high => Conformity::Above(band(measured - high)),
        _ => Conformity::Within,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008, H.1 (end-gauge calibration): standard uncertainties of 25 nm (standard), 9.7 nm (difference),
    /// 2.9 nm (differential expansion) and 16.6 nm (difference in temperature) combine to 32 nm.
    #[test]
    fn agrees_with_the_end_gauge() {
        let combined = expanded(&[25.0, 9.7, 2.9, 16.6]) / COVERAGE.get();
        assert!((combined - 32.0).abs() < 0.5, "{combined}");
    }

    /// JCGM 100:2008, F.2.2.1: a resolution d has a standard uncertainty of 0.29 d.
    #[test]
    fn a_resolution_is_a_rectangle() {
        assert!((of_resolution(1.0) - 0.288_7).abs() < 1e-4);
    }

    /// JCGM 106:2012, 8.3.3: rejected only beyond the limit by the guard band; between, neither.
    #[test]
    fn within_the_guard_band_it_cannot_be_told() {
        let limits = (Some(10.0), Some(20.0));
        let of = |measured| decide(measured, limits, 1.0);
        assert_eq!(of(15.0), Conformity::Within);
        assert_eq!((of(20.9), of(9.1)), (Conformity::Above(Band::Guard), Conformity::Below(Band::Guard)));
        assert_eq!((of(21.1), of(8.9)), (Conformity::Above(Band::Beyond), Conformity::Below(Band::Beyond)));
        assert_eq!(decide(1e9, (None, None), 1.0), Conformity::Within);
    }
}
