//! Windows of 100 ms, delta coded in runs.

use heapless::Vec;
use serde::{Deserialize, Serialize};

use crate::tick::Tick;

/// Numbers in a window.
pub const CHANNELS: usize = 7;

/// Runs in one record at most.
pub const MAX_RUNS: usize = 14;

/// What the logger makes of 480 samples a channel. All of it saturates at the ends of `u16`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Window {
    /// True RMS of the current with its mean removed, milliamps.
    pub rms: u16,
    /// Greatest distance of the current from its mean, milliamps.
    pub peak: u16,
    /// RMS of the current at the mains frequency, milliamps.
    pub fundamental: u16,
    /// RMS of the current at twice the mains frequency, milliamps.
    pub second: u16,
    /// RMS of the current at three times the mains frequency, milliamps.
    pub third: u16,
    /// Supply pickup after hum is removed: RMS, sixteenths of a count.
    pub supply: u16,
    /// Drain pickup after hum is removed: RMS, sixteenths of a count.
    pub drain: u16,
}

impl Window {
    /// The numbers in the order of the wire.
    #[must_use]
    pub const fn to_array(self) -> [u16; CHANNELS] {
        [self.rms, self.peak, self.fundamental, self.second, self.third, self.supply, self.drain]
    }

    /// The inverse of [`Window::to_array`].
    #[must_use]
    pub const fn from_array([rms, peak, fundamental, second, third, supply, drain]: [u16; CHANNELS]) -> Self {
        Self { rms, peak, fundamental, second, third, supply, drain }
    }
}

/// So many windows at one set of values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Run {
    /// Windows in the run.
    pub windows: u16,
    /// Value minus the value of the run before (of zero, for the first run of a record), modulo 2^16.
    delta: [i16; CHANNELS],
}

/// Runs of windows, one after the other without a gap. A record stands alone: it needs no record before it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Windows {
    /// Tick of the first window.
    pub start: Tick,
    runs: Vec<Run, MAX_RUNS>,
}

impl Windows {
    /// An empty record that begins at `start`.
    #[must_use]
    pub const fn new(start: Tick) -> Self {
        Self { start, runs: Vec::new() }
    }

    /// Appends a run.
    ///
    /// # Errors
    /// Gives the run back when the record is full.
    pub fn push(&mut self, windows: u16, value: Window) -> Result<(), (u16, Window)> {
        let before = self.runs().last().map_or([0; CHANNELS], |(_, w)| w.to_array());
        let now = value.to_array();
        // Wrapping on purpose: 0 to 65,535 is a delta of -1 and comes back exact.
        let delta = core::array::from_fn(|i| now[i].wrapping_sub(before[i]).cast_signed());
        self.runs.push(Run { windows, delta }).map_err(|_| (windows, value))
    }

    /// The runs as (number of windows, their value).
    pub fn runs(&self) -> impl Iterator<Item = (u16, Window)> + '_ {
        let mut value = [0u16; CHANNELS];
        self.runs.iter().map(move |run| {
            for (v, d) in value.iter_mut().zip(run.delta) {
                *v = v.wrapping_add_signed(d);
            }
            (run.windows, Window::from_array(value))
        })
    }

    /// Windows in the record.
    #[must_use]
    pub fn len(&self) -> u32 {
        self.runs.iter().map(|r| u32::from(r.windows)).sum()
    }

    /// Whether it holds no run.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.runs.is_empty()
    }

    /// Whether it holds as many runs as it can.
    #[must_use]
    pub fn is_full(&self) -> bool {
        self.runs.is_full()
    }
}
