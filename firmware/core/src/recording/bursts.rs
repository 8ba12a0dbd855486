//! Raw samples around sudden events: what a load's first cycles look like tells a motor from a heater.

use tubtrace_protocol::{BURST_CHUNK, Burst, Tick};

use crate::sampling::{Block, Channel, WINDOW, channel};

/// A change of RMS current that is an event: 150 mA, or a quarter of what flowed before.
const STEP_MA: u16 = 150;

/// Windows kept after the one with the event; the one before it is kept too.
const AFTER: u8 = 2;

/// Windows between the starts of two bursts at least: 10 s, so that a chattering relay does not fill the flash.
const REST: u32 = 100;

/// Picks the windows whose samples are kept.
#[derive(Clone, Debug)]
pub struct Bursts {
    before: [u16; WINDOW],
    before_rms: Option<u16>,
    remaining: u8,
    rested: u32,
}

impl Default for Bursts {
    fn default() -> Self {
        Self { before: [0; WINDOW], before_rms: None, remaining: 0, rested: REST }
    }
}

impl Bursts {
    /// Takes the samples of the window of `tick` and its RMS in milliamps; hands over what is to be kept.
    pub fn push(&mut self, tick: Tick, block: &Block, rms: u16, mut keep: impl FnMut(Burst)) {
        self.rested = self.rested.saturating_add(1);
        let event =
            self.before_rms.is_some_and(|b| rms.abs_diff(b) > STEP_MA.max(b / 4)) && self.rested > REST;
        if event {
            chunks(Tick(tick.0.wrapping_sub(1)), &self.before, &mut keep);
            self.remaining = AFTER + 1;
            self.rested = 0;
        }
        for (kept, sample) in self.before.iter_mut().zip(channel(block, Channel::Current)) {
            *kept = sample;
        }
        self.before_rms = Some(rms);
        if self.remaining > 0 {
            self.remaining -= 1;
            chunks(tick, &self.before, &mut keep);
        }
    }
}

fn chunks(tick: Tick, samples: &[u16; WINDOW], keep: &mut impl FnMut(Burst)) {
    for (i, chunk) in samples.chunks(BURST_CHUNK).enumerate() {
        keep(Burst::new(tick, (i * BURST_CHUNK) as u16, chunk));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_event_keeps_the_window_before_and_two_after() {
        let mut bursts = Bursts::default();
        let mut kept = std::vec::Vec::new();
        for i in 0..60u32 {
            let block = [i as u16; crate::BLOCK];
            let rms = if i < 20 { 600 } else { 9_000 };
            bursts.push(Tick(i), &block, rms, |b| kept.push((b.tick.0, b.samples().next().unwrap())));
        }
        let ticks: std::vec::Vec<_> = [19, 20, 21, 22].iter().flat_map(|&t| [(t, t as u16); 3]).collect();
        assert_eq!(kept, ticks);
    }

    #[test]
    #[cfg_attr(miri, ignore = "hours of windows")]
    fn chatter_is_kept_at_most_every_ten_seconds() {
        let mut bursts = Bursts::default();
        let mut kept = 0;
        for i in 0..1_000u32 {
            bursts.push(Tick(i), &[0; crate::BLOCK], if i % 2 == 0 { 0 } else { 9_000 }, |_| kept += 1);
        }
        assert_eq!(kept, 10 * 4 * 3);
    }
}
