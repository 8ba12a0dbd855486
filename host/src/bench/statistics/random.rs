//! Random numbers for the simulations that tests make.

use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

/// Deviates from one seed.
pub struct Random(Xoshiro256PlusPlus);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(Xoshiro256PlusPlus::seed_from_u64(seed))
    }

    /// From 0 to 1.
    pub fn part(&mut self) -> f64 {
        self.0.random_range(0.0..1.0)
    }

    /// A standard normal deviate (Box and Muller, Annals of Mathematical Statistics 29, 1958).
    pub fn normal(&mut self) -> f64 {
        let (u, v): (f64, f64) = (self.0.random_range(1e-12..1.0), self.part());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}
