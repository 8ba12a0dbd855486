//! Random numbers that stay the same for ever: xoshiro256++ seeded through splitmix64
//! (Blackman and Vigna, public domain). Own code, so that no library upgrade changes a seed.

/// A stream of random numbers.
#[derive(Clone, Debug)]
pub struct Rng {
    s: [u64; 4],
}

fn splitmix(x: &mut u64) -> u64 {
    *x = x.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *x;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

impl Rng {
    /// A stream for one seed.
    pub fn new(seed: u64) -> Self {
        let mut x = seed;
        let s = [(); 4].map(|()| splitmix(&mut x));
        Rng { s }
    }

    /// A stream for a purpose under a seed: the same words always give the same stream.
    pub fn stream(seed: u64, purpose: &str, a: u64, b: u64) -> Self {
        let mut h: u64 = 0xcbf2_9ce4_8422_2325;
        for byte in purpose.bytes() {
            h = (h ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
        let mut x = seed ^ h;
        let one = splitmix(&mut x);
        let mut y = one ^ a.wrapping_mul(0xd134_2543_de82_ef95);
        let two = splitmix(&mut y);
        let mut z = two ^ b.wrapping_mul(0xa24b_aed4_963e_e407);
        Rng::new(splitmix(&mut z))
    }

    /// A whole number of 64 bits, for a seed.
    pub fn number(&mut self) -> u64 {
        self.next()
    }

    fn next(&mut self) -> u64 {
        let s = &mut self.s;
        let out = s[0].wrapping_add(s[3]).rotate_left(23).wrapping_add(s[0]);
        let t = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= t;
        s[3] = s[3].rotate_left(45);
        out
    }

    /// From 0 up to, not including, 1.
    pub fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly between two values.
    pub fn range(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Whole numbers, both ends included.
    pub fn whole(&mut self, low: usize, high: usize) -> usize {
        low + (self.unit() * (high - low + 1) as f64) as usize
    }

    /// True with this probability.
    pub fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }

    /// A normal value by the Box-Muller method, held within three spreads.
    pub fn normal(&mut self, mean: f64, spread: f64) -> f64 {
        let r = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        let z = r * (std::f64::consts::TAU * self.unit()).cos();
        mean + spread * z.clamp(-3.0, 3.0)
    }

    /// A value within a share above or below.
    pub fn about(&mut self, value: f64, share: f64) -> f64 {
        value * self.range(1.0 - share, 1.0 + share)
    }

    /// The place of one of several weights.
    pub fn weighted(&mut self, weights: &[f64]) -> usize {
        let mut left = self.unit() * weights.iter().sum::<f64>();
        for (place, w) in weights.iter().enumerate() {
            if left < *w {
                return place;
            }
            left -= w;
        }
        weights.len() - 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The reference outputs of xoshiro256++ for the state 1, 2, 3, 4.
    #[test]
    fn the_published_numbers_come_out() {
        let mut r = Rng { s: [1, 2, 3, 4] };
        let got = [(); 4].map(|()| r.next());
        assert_eq!(got, [41_943_041, 58_720_359, 3_588_806_011_781_223, 3_591_011_842_654_386]);
    }
}
