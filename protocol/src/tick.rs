//! The clock of a log: the number of a window.

use serde::{Deserialize, Serialize};

/// The number of a 100 ms window since the log was opened; the clock of a log. It wraps after 13.6 years.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Tick(pub u32);

impl Tick {
    /// Ticks in a second.
    pub const PER_SECOND: u32 = 10;

    /// The tick `windows` later. Saturates: 13.6 years on one battery is a damaged number, not a date.
    #[must_use]
    pub const fn after(self, windows: u32) -> Self {
        Self(self.0.saturating_add(windows))
    }
}
