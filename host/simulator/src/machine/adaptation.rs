//! What a healthy control changes from cycle to cycle.

use rand::RngExt;
use serde::{Deserialize, Serialize};
use tubtrace_units::Celsius;

use crate::random::Random;

/// What a healthy control adapts from cycle to cycle.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub struct Adaptation {
    /// Whether the prewash is purged.
    pub prewash_purge: bool,
    /// Purges in the main wash.
    pub purges: u8,
    /// Whether a rinse is added.
    pub extra_rinse: bool,
    /// Added to the temperature that ends the main hold: heavy soil.
    pub warmer: Celsius,
}

impl Adaptation {
    /// Draws each of them by itself.
    pub fn draw(random: &mut Random) -> Self {
        Self {
            prewash_purge: random.random_bool(0.3),
            purges: random.random_range(1..=3),
            extra_rinse: random.random_bool(0.4),
            warmer: Celsius(if random.random_bool(0.3) { 3.0 } else { 0.0 }),
        }
    }
}
