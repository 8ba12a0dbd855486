//! The kinds of departure.

use std::fmt;

use serde::Serialize;

/// A kind of departure, in the order in which they are told: what is wrong with a part of the machine or the house
/// before what follows from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Departure {
    /// The programme broke off and began from the start.
    BeganAgain,
    /// The programme broke off and did not go on.
    BrokeOff,
    /// The wash pump draws several times its current and does not run.
    PumpStalls,
    /// The drain pump runs and no water is heard.
    NoDrainFlow,
    /// Water is heard with the valve off.
    FlowWhenOff,
    /// Supply water is colder than it should be.
    SupplyCold,
    /// Supply water is warmer than it should be.
    SupplyHot,
    /// The heater draws nothing where it should heat.
    NoHeat,
    /// It draws less than the chart allows.
    CurrentLow,
    /// It draws more than the chart allows.
    CurrentHigh,
    /// The water never came to the temperature of the hold.
    HoldNotReached,
    /// The machine should purge, and never does.
    NeverPurged,
    /// It purges more often than the chart allows.
    PurgedTooOften,
    /// An interval takes too long.
    TooLong,
    /// An interval is missing.
    Missing,
    /// An interval is too short.
    TooShort,
    /// Something that is not in the chart.
    Extra,
}

impl Departure {
    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::BeganAgain => "began-again",
            Self::BrokeOff => "broke-off",
            Self::PumpStalls => "pump-stalls",
            Self::NoDrainFlow => "no-drain-flow",
            Self::FlowWhenOff => "flow-when-off",
            Self::SupplyCold => "supply-cold",
            Self::SupplyHot => "supply-hot",
            Self::NoHeat => "no-heat",
            Self::CurrentLow => "current-low",
            Self::CurrentHigh => "current-high",
            Self::HoldNotReached => "hold-not-reached",
            Self::NeverPurged => "never-purged",
            Self::PurgedTooOften => "purged-too-often",
            Self::TooLong => "too-long",
            Self::Missing => "missing",
            Self::TooShort => "too-short",
            Self::Extra => "extra",
        }
    }
}

impl fmt::Display for Departure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}
