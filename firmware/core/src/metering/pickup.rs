//! The level of flow noise in a pickup, with mains hum removed.

use tubtrace_protocol::Mains;

use crate::sampling::{Block, CYCLES_50, CYCLES_60, Channel, WINDOW, channel};

const PERIOD_50: usize = WINDOW / CYCLES_50;
const PERIOD_60: usize = WINDOW / CYCLES_60;

/// One pickup: a comb that removes the mains and all its harmonics, then a high pass at about 220 Hz.
///
/// The comb is y(n) = x(n) - x(n - one mains period). It is exact at the nominal frequency; 0.1 Hz away, 2 % of
/// the hum is left. It doubles the power of noise, which is halved again at the end.
#[derive(Clone, Debug)]
pub struct Pickup {
    channel: Channel,
    /// The last mains period of samples.
    past: [i16; PERIOD_50],
    /// Whether `past` holds samples yet.
    primed: bool,
    at: usize,
    period: usize,
    /// State of the low pass whose complement is the high pass, sixteenths of a count.
    low: i32,
}

impl Pickup {
    /// A pickup on `channel`.
    #[must_use]
    pub const fn new(channel: Channel) -> Self {
        Self { channel, past: [0; PERIOD_50], primed: false, at: 0, period: PERIOD_50, low: 0 }
    }

    /// RMS of the noise in this window, sixteenths of a count, saturating.
    pub fn level(&mut self, block: &Block, mains: Mains) -> u16 {
        let period = if mains == Mains::Hz60 { PERIOD_60 } else { PERIOD_50 };
        if period != self.period {
            // The first period after the change still sees hum; it lasts a sixth of a window, once in a log.
            (self.period, self.at) = (period, 0);
        }
        if !core::mem::replace(&mut self.primed, true) {
            // The first period is compared with itself: nothing is heard in it, least of all the bias setting in.
            self.past
                .iter_mut()
                .zip(channel(block, self.channel))
                .for_each(|(p, s)| *p = s.min(4_095).cast_signed());
        }
        let mut squares = 0u64;
        for sample in channel(block, self.channel) {
            let sample = sample.min(4_095).cast_signed();
            let past = core::mem::replace(&mut self.past[self.at], sample);
            self.at = if self.at + 1 == self.period { 0 } else { self.at + 1 };
            let comb = (i32::from(sample) - i32::from(past)) * 16;
            // One pole, a = 1/4: -3 dB at 4,800 / (2 pi) x ln(4/3) = 220 Hz.
            self.low += (comb - self.low) >> 2;
            // Saturates at half the converter's range: a signal that large is a knock, not a flow.
            let high = (comb - self.low).clamp(-32_767, 32_767);
            squares += u64::from(high.unsigned_abs().pow(2));
        }
        u16::try_from((squares / (2 * WINDOW as u64)).isqrt()).unwrap_or(u16::MAX)
    }
}
