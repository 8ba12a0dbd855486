//! Nearly Gaussian noise, four at a time.

use rand::Rng;
use rand::rand_core::SeedableRng;

use crate::random::Random;

#[derive(Debug)]
pub(super) struct Noise(Random);

impl Noise {
    pub fn new(random: &mut Random) -> Self {
        Self(Random::from_rng(random))
    }

    /// Four values of unit variance: each the sum of four bytes (Irwin-Hall), out to 3.5 standard deviations.
    #[inline]
    pub fn four(&mut self) -> [f32; 4] {
        let (a, b) = (self.0.next_u64(), self.0.next_u64());
        [a as u32, (a >> 32) as u32, b as u32, (b >> 32) as u32].map(|word| {
            let pairs = (word & 0x00ff_00ff) + ((word >> 8) & 0x00ff_00ff);
            let sum = (pairs & 0xffff) + (pairs >> 16);
            // Mean 510, variance 4 (256^2 - 1) / 12.
            (sum as f32 - 510.0) * (1.0 / 147.80)
        })
    }
}
