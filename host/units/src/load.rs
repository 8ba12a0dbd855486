//! The electrical loads of a machine, by the words that every table and file uses.

use core::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A load of the machine that draws current by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Load {
    /// The element that heats water and, in drying, air.
    Heater,
    /// The pump that circulates water through the spray arms.
    WashPump,
    /// The pump that empties the tub into the drain hose.
    DrainPump,
    /// The solenoid valve that lets water in from the supply line.
    FillValve,
    /// Detergent or rinse-aid dispenser.
    Dispenser,
    /// The actuator that opens a vent for drying.
    Vent,
    /// The fan that moves air for drying.
    Fan,
}

impl Load {
    /// All of them, in the order of the words in every table.
    pub const ALL: [Self; 7] = [
        Self::Heater,
        Self::WashPump,
        Self::DrainPump,
        Self::FillValve,
        Self::Dispenser,
        Self::Vent,
        Self::Fan,
    ];

    /// Its word in files, tables and options, as in `wash-pump`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Heater => "heater",
            Self::WashPump => "wash-pump",
            Self::DrainPump => "drain-pump",
            Self::FillValve => "fill-valve",
            Self::Dispenser => "dispenser",
            Self::Vent => "vent",
            Self::Fan => "fan",
        }
    }
}

impl fmt::Display for Load {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// A set of loads.
///
/// ```
/// use tubtrace_units::{Load, Loads};
///
/// const HEATING: Loads = Loads::of(&[Load::Heater, Load::WashPump]);
/// assert!(HEATING.has(Load::Heater) && !HEATING.has(Load::Vent));
/// assert_eq!(HEATING.to_string(), "heater wash-pump");
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Loads(u8);

impl Loads {
    /// The set without any load.
    pub const NONE: Self = Self(0);

    /// The set of these loads.
    #[must_use]
    pub const fn of(loads: &[Load]) -> Self {
        let mut set = 0;
        let mut i = 0;
        while i < loads.len() {
            set |= 1 << loads[i] as u8;
            i += 1;
        }
        Self(set)
    }

    /// Whether `load` is among them.
    #[must_use]
    pub const fn has(self, load: Load) -> bool {
        self.0 & (1 << load as u8) != 0
    }

    /// These and `load`, or these without it.
    #[must_use]
    pub const fn with(self, load: Load, on: bool) -> Self {
        let bit = 1 << load as u8;
        Self(if on { self.0 | bit } else { self.0 & !bit })
    }

    /// All that are in either.
    #[must_use]
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether there is none.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// In the order of [`Load::ALL`].
    pub fn iter(self) -> impl Iterator<Item = Load> {
        Load::ALL.into_iter().filter(move |&l| self.has(l))
    }
}

impl FromIterator<Load> for Loads {
    fn from_iter<I: IntoIterator<Item = Load>>(loads: I) -> Self {
        loads.into_iter().fold(Self::NONE, |set, load| set.with(load, true))
    }
}

impl fmt::Display for Loads {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words: Vec<_> = self.iter().map(Load::word).collect();
        f.pad(&words.join(" "))
    }
}

impl Serialize for Loads {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        // A list of a known length, which formats without delimiters need.
        self.iter().collect::<Vec<_>>().serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Loads {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Ok(Vec::<Load>::deserialize(deserializer)?.into_iter().collect())
    }
}
