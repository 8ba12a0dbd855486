//! What the machine does, in the words of the trade.

use std::fmt;

use serde::{Deserialize, Serialize};

/// What the machine does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Water comes in.
    Fill,
    /// The wash pump runs.
    Wash,
    /// The wash pump and the heater run.
    Heat,
    /// Water is exchanged while the wash pump runs.
    Purge,
    /// Water goes out.
    Drain,
    /// Heater, vent or fan without water.
    Dry,
    /// The wash pump starts and does not run: it draws several times its current, or nothing where it should.
    Stall,
    /// Nothing runs, and the cycle goes on afterwards.
    Pause,
    /// Readings are missing: what the machine did is not known.
    Gap,
}

impl Kind {
    /// Its word in lower case, as it is shown.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fill => "fill",
            Self::Wash => "wash",
            Self::Heat => "heat",
            Self::Purge => "purge",
            Self::Drain => "drain",
            Self::Dry => "dry",
            Self::Stall => "stall",
            Self::Pause => "pause",
            Self::Gap => "gap",
        }
    }

    /// Its word for several of it.
    #[must_use]
    pub const fn plural(self) -> &'static str {
        match self {
            Self::Fill => "fills",
            Self::Wash => "washes",
            Self::Heat => "heats",
            Self::Purge => "purges",
            Self::Drain => "drains",
            Self::Dry => "drying phases",
            Self::Stall => "stalls",
            Self::Pause => "pauses",
            Self::Gap => "gaps",
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}
