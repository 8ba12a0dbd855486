//! For how long a load of the house is on, or rests: a density about each time that was seen, and a part that is like none.

use std::f64::consts::TAU;

use tubtrace_units::Seconds;

use crate::loads::constants::house::{HOUSE_LENGTHS, LASTS_ALIKE, LASTS_ODD};

/// How long something lasts.
pub(super) struct Lengths {
    /// Logarithms of what was seen.
    seen: Vec<f64>,
}

impl Lengths {
    pub(super) fn of(seen: impl Iterator<Item = Seconds>) -> Self {
        Self { seen: seen.map(|s| s.0.max(1.0).ln()).collect() }
    }

    /// Logarithm of the density per second.
    pub(super) fn ln(&self, lasts: Seconds) -> f64 {
        let (ln, width) = (lasts.0.max(1.0).ln(), LASTS_ALIKE.get());
        let near = |seen: &f64| (-0.5 * ((ln - seen) / width).powi(2)).exp() / (width * TAU.sqrt());
        let alike = self.seen.iter().map(near).sum::<f64>() / self.seen.len().max(1) as f64;
        ((1.0 - LASTS_ODD.get()) * alike + LASTS_ODD.get() / HOUSE_LENGTHS.get().ln()).ln() - ln
    }

    /// The same where only a part of it is seen: one of the usual length might begin at any moment of it.
    pub(super) fn ln_cut(&self) -> f64 {
        -self.seen.iter().sum::<f64>() / self.seen.len().max(1) as f64
    }
}
