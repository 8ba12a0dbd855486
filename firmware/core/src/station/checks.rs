//! The self-check: what the clips look like, from what they have read in the last ten seconds.

use tubtrace_protocol::{Attached, Checked, Clamp, Thermistor, Window};

use crate::sampling::{BLOCK, Block, CHANNELS, Channel, at_end};
use crate::thermistor::celsius;

/// Windows looked back on at least; twice as many at most.
const SPAN: u8 = 100;

/// Current at the mains frequency that a machine draws at least when its electronics are on, milliamps: common
/// practice, no source. Two counts of the converter.
const LIVE_MA: u16 = 32;

/// A pickup that hears: four times the noise of a converter that is quiet to half a count, in sixteenths.
const HEARS: u16 = 32;

/// Codes of an open thermistor: above the resistance of -20 degrees C, whose code this is.
const OPEN: i16 = 29_700;

/// What was seen in a span of windows.
#[derive(Clone, Copy, Debug, Default)]
struct Seen {
    fundamental: u16,
    clipped: bool,
    pickups: [u16; 2],
    /// Whether every sample looked at was at an end of the range.
    stuck: [bool; 2],
    windows: u8,
}

/// Keeps what the last ten to twenty seconds of windows showed of each clip.
#[derive(Clone, Debug, Default)]
pub(super) struct Checks {
    now: Seen,
    before: Seen,
    codes: Option<[i16; 2]>,
}

impl Checks {
    pub(super) fn window(&mut self, block: &Block, window: &Window) {
        if self.now.windows == SPAN {
            self.before = core::mem::take(&mut self.now);
        }
        let first = self.now.windows == 0;
        let seen = &mut self.now;
        seen.windows += 1;
        seen.fundamental = seen.fundamental.max(window.fundamental);
        seen.clipped |= block.iter().step_by(CHANNELS).any(at_end);
        for (i, (channel, level)) in
            [(Channel::Supply, window.supply), (Channel::Drain, window.drain)].into_iter().enumerate()
        {
            seen.pickups[i] = seen.pickups[i].max(level);
            // Sixteen samples over the window are enough to see a line that does not move.
            let stuck = block[channel as usize..].iter().step_by(BLOCK / 16).all(at_end);
            seen.stuck[i] = stuck && (first || seen.stuck[i]);
        }
    }

    /// Takes the thermistors' codes; `None` where the converter did not answer.
    pub(super) fn codes(&mut self, codes: Option<[i16; 2]>) {
        self.codes = codes;
    }

    /// The clips in hundredths of a degree C.
    pub(super) fn clips(&self) -> [Option<i16>; 2] {
        self.codes.map_or([None; 2], |codes| codes.map(|code| celsius(code).map(|c| c.0)))
    }

    /// Whether a thermistor does not read.
    pub(super) fn clip_missing(&self) -> bool {
        self.clips().contains(&None)
    }

    pub(super) fn result(&self) -> Checked {
        let (now, before) = (&self.now, &self.before);
        let clamp = if now.clipped || before.clipped {
            Clamp::Clipped
        } else if now.fundamental.max(before.fundamental) >= LIVE_MA {
            Clamp::Live
        } else {
            Clamp::Quiet
        };
        let pickup = |i: usize| {
            if now.stuck[i] {
                Attached::Stuck
            } else if now.pickups[i].max(before.pickups[i]) >= HEARS {
                Attached::Hears
            } else {
                Attached::Quiet
            }
        };
        let thermistor = |code: i16| match celsius(code) {
            Some(c) => Thermistor::Reads(c.0),
            None if code >= OPEN => Thermistor::Open,
            None => Thermistor::Shorted,
        };
        Checked {
            clamp,
            pickups: [pickup(0), pickup(1)],
            clips: self.codes.map_or([Thermistor::NoConverter; 2], |codes| codes.map(thermistor)),
        }
    }
}
