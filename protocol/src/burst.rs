//! Raw samples of the current around a sudden change.

use heapless::Vec;
use serde::{Deserialize, Serialize};

use crate::tick::Tick;

/// Samples in one record: a third of a window, so that a record stays small.
pub const BURST_CHUNK: usize = 160;

/// Samples of the current channel as the converter gave them (12 bits), each as its difference to the one before.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Burst {
    /// The window that the samples belong to.
    pub tick: Tick,
    /// Index in that window of the first sample here.
    pub offset: u16,
    deltas: Vec<i16, BURST_CHUNK>,
}

impl Burst {
    /// Holds `samples`, of which only the first [`BURST_CHUNK`] are taken.
    #[must_use]
    pub fn new(tick: Tick, offset: u16, samples: &[u16]) -> Self {
        let mut before = 0u16;
        let deltas = samples
            .iter()
            .take(BURST_CHUNK)
            .map(|&s| s.wrapping_sub(core::mem::replace(&mut before, s)).cast_signed())
            .collect();
        Self { tick, offset, deltas }
    }

    /// The samples, in counts.
    pub fn samples(&self) -> impl Iterator<Item = u16> + '_ {
        self.deltas.iter().scan(0u16, |value, &d| {
            *value = value.wrapping_add_signed(d);
            Some(*value)
        })
    }
}
