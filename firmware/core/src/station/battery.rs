//! The battery: how much is left, and when to stop before it stops us.

use crate::metering::millivolts;
use crate::sampling::Block;

/// Below this the LED says so: three alkaline cells at 1.2 V behind a diode of 0.25 V. Common practice, no source.
const LOW_MV: u16 = 3_300;

/// Below this for ten seconds the log is closed while it still can be: three cells at 1.05 V, nearly empty.
const EMPTY_MV: u16 = 2_900;

/// Windows below [`EMPTY_MV`] before the log is closed: a flash that erases pulls the pack down for 0.4 s.
const PATIENCE: u8 = 100;

/// Looked at once a second.
const EVERY: u8 = 10;

#[derive(Clone, Debug, Default)]
pub(super) struct Battery {
    millivolts: u16,
    windows: u8,
    empty: u8,
}

impl Battery {
    /// Takes a window; `true` when it is time to stop. A battery that reads nothing is one that is not measured.
    pub(super) fn window(&mut self, block: &Block) -> bool {
        if self.windows == 0 {
            self.millivolts = millivolts(block);
        }
        self.windows = (self.windows + 1) % EVERY;
        let empty = self.millivolts > 0 && self.millivolts < EMPTY_MV;
        self.empty = if empty { self.empty.saturating_add(1) } else { 0 };
        self.empty == PATIENCE
    }

    pub(super) const fn is_low(&self) -> bool {
        self.millivolts > 0 && self.millivolts < LOW_MV
    }

    pub(super) const fn millivolts(&self) -> u16 {
        self.millivolts
    }
}
