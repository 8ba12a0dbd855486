//! 50 or 60 Hz, found by itself.

use tubtrace_protocol::Mains;

use super::current::hum;
use super::sine::UNIT;
use crate::sampling::{Block, Channel, WINDOW};

/// Windows in a row that must agree.
const AGREEING: u8 = 5;

/// Power of a bin below which it is noise: two counts of amplitude.
const FAINT: u64 = {
    let bin = 2 * (WINDOW as u64 / 2) * UNIT as u64;
    bin * bin
};

/// Decides once and stays: a machine does not move from one grid to another while it is logged.
#[derive(Clone, Debug, Default)]
pub struct MainsFinder {
    candidate: Mains,
    agreed: u8,
    found: Mains,
}

impl MainsFinder {
    /// What is known so far.
    #[must_use]
    pub const fn mains(&self) -> Mains {
        self.found
    }

    /// Takes the 50 and 60 Hz bins of the current and, where that is too faint, the hum of the supply pickup.
    pub fn observe(&mut self, block: &Block, current: [u64; 2]) {
        if self.found != Mains::Unknown {
            return;
        }
        let vote = match vote(current) {
            Mains::Unknown => vote(hum(block, Channel::Supply)),
            seen => seen,
        };
        self.agreed = if vote == self.candidate { self.agreed + 1 } else { 1 };
        self.candidate = vote;
        if vote != Mains::Unknown && self.agreed >= AGREEING {
            self.found = vote;
        }
        self.agreed = self.agreed.min(AGREEING);
    }
}

fn vote([at_50, at_60]: [u64; 2]) -> Mains {
    if at_50.max(at_60) < FAINT {
        Mains::Unknown
    } else if at_50 / 8 > at_60 {
        Mains::Hz50
    } else if at_60 / 8 > at_50 {
        Mains::Hz60
    } else {
        Mains::Unknown
    }
}
