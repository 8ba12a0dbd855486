//! RMS, peak and harmonics of the clamp's channel.

use tubtrace_protocol::Mains;

use super::sine::{UNIT, correlate, power};
use crate::sampling::{Block, CYCLES_50, CYCLES_60, Channel, WINDOW, channel};

const N: u64 = WINDOW as u64;

/// Microamps of mains current for one count of the converter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Calibration {
    /// At most 1 A a count, so that no product below overflows.
    microamps_per_count: u32,
}

impl Calibration {
    /// 20 A : 1 V rms into 12 bits over 3.3 V: 3.3 V / 4,096 x 20 A/V.
    pub const NOMINAL: Self = Self { microamps_per_count: 16_113 };

    /// A calibration of a clamp on this board; `None` where it is zero or above 1 A a count.
    #[must_use]
    pub const fn new(microamps_per_count: u32) -> Option<Self> {
        if microamps_per_count == 0 || microamps_per_count > 1_000_000 {
            None
        } else {
            Some(Self { microamps_per_count })
        }
    }

    /// Microamps a count of the converter, from 1 to 1,000,000.
    #[must_use]
    pub const fn microamps_per_count(self) -> u32 {
        self.microamps_per_count
    }

    /// `numerator / denominator` counts in milliamps, rounded, saturating at 65.5 A.
    fn milliamps(self, numerator: u64, denominator: u64) -> u16 {
        let denominator = denominator * 1_000;
        let milliamps = (numerator * u64::from(self.microamps_per_count) + denominator / 2) / denominator;
        u16::try_from(milliamps).unwrap_or(u16::MAX)
    }
}

/// The current in one window, milliamps.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Current {
    /// True RMS, mean removed.
    pub rms: u16,
    /// Greatest distance from the mean.
    pub peak: u16,
    /// RMS at the mains frequency; with the mains unknown, at whichever of 50 and 60 Hz is stronger.
    pub fundamental: u16,
    /// RMS at twice that.
    pub second: u16,
    /// RMS at three times that.
    pub third: u16,
}

/// Meters the clamp's channel. Also gives the power of the 50 and 60 Hz bins, for [`super::MainsFinder`].
#[must_use]
pub fn measure(block: &Block, mains: Mains, calibration: Calibration) -> (Current, [u64; 2]) {
    let x = mean_removed(block, Channel::Current);
    let root = deviation(&x);
    // Of all products below this is the greatest: 2 x |bin|^2 <= 1.6e19 < 2^64.
    let rms_of = |bin: u64| calibration.milliamps((2 * bin).isqrt(), N * UNIT as u64);

    let bins = match mains {
        Mains::Hz50 => [power(correlate(&x, CYCLES_50)), 0],
        Mains::Hz60 => [0, power(correlate(&x, CYCLES_60))],
        Mains::Unknown => [CYCLES_50, CYCLES_60].map(|c| power(correlate(&x, c))),
    };
    let (cycles, fundamental) = if bins[1] > bins[0] { (CYCLES_60, bins[1]) } else { (CYCLES_50, bins[0]) };

    let current = Current {
        rms: calibration.milliamps(root, N),
        peak: calibration.milliamps(x.iter().map(|x| u64::from(x.unsigned_abs())).max().unwrap_or(0), 1),
        fundamental: rms_of(fundamental),
        second: rms_of(power(correlate(&x, 2 * cycles))),
        third: rms_of(power(correlate(&x, 3 * cycles))),
    };
    (current, bins)
}

/// The power of the 50 and 60 Hz bins of another channel: hum gives the mains away while no current flows.
pub(super) fn hum(block: &Block, from: Channel) -> [u64; 2] {
    let x = mean_removed(block, from);
    [CYCLES_50, CYCLES_60].map(|c| power(correlate(&x, c)))
}

/// The channel minus its mean, which is rounded to a count; what that leaves is removed in [`deviation`], and is
/// zero in a bin of whole cycles.
fn mean_removed(block: &Block, from: Channel) -> [i16; WINDOW] {
    let sum: u32 = channel(block, from).map(u32::from).sum();
    let mean = (sum + WINDOW as u32 / 2) / WINDOW as u32;
    let mut x = [0; WINDOW];
    for (x, sample) in x.iter_mut().zip(channel(block, from)) {
        // 12 bits by contract; a wild value is cut to them rather than allowed to overflow what follows.
        *x = sample.min(4_095).cast_signed() - mean.min(4_095) as i16;
    }
    x
}

/// N times the standard deviation: sqrt(N sum(x^2) - sum(x)^2).
fn deviation(x: &[i16; WINDOW]) -> u64 {
    let (mut sum, mut squares) = (0i32, 0u32);
    for &x in x {
        let x = i32::from(x);
        sum += x;
        // At most 480 x 2,048^2 = 2.0e9 for any signal of 12 bits about its own mean.
        squares = squares.wrapping_add((x * x) as u32);
    }
    (N * u64::from(squares)).saturating_sub(u64::from(sum.unsigned_abs()).pow(2)).isqrt()
}
