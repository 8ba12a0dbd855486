//! The kinds of departure.

use std::fmt;

use serde::Serialize;

/// A kind of departure, in the order in which they are told: what is wrong with a part of the machine or the house
/// before what follows from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Departure {
    /// The log ends in the middle, because the logger's battery did.
    LogEnds,
    /// Water is heard through a whole run, and no current is seen.
    CurrentNever,
    /// Water is heard through a whole run, and of its current next to nothing is seen.
    CurrentFaint,
    /// Everything draws several times what it does in the other runs.
    OutOfScale,
    /// The current is at the end of the clamp's range.
    Clips,
    /// Water is heard, and no current is seen any more.
    CurrentGone,
    /// The machine fills, and nothing is heard in the supply line.
    SupplyDeaf,
    /// The machine drains as its next fill shows, and nothing is heard in the hose.
    DrainDeaf,
    /// A temperature clip reads nothing.
    ClipOpen,
    /// A temperature clip no longer follows the water.
    ClipStill,
    /// The fill valve is on and no water is heard.
    NoSupplyFlow,
    /// Water has come, and the wash pump does not even try.
    PumpSilent,
    /// The machine washes and never drains.
    NeverDrains,
    /// The drain pump does not stop.
    DrainStaysOn,
    /// The mains is low for minutes.
    MainsLow,
    /// Everything stops for seconds, once, and goes on.
    Dips,
    /// The wash pump stops for seconds, again and again.
    DropsOut,
    /// Everything stops in the middle of a wash for a while, and goes on.
    Opened,
    /// The wash pump's relay goes off and on as it closes.
    Chatters,
    /// The wash pump takes seconds to come up to speed.
    SlowStart,
    /// Something small is on where it should not be: vent or dispenser.
    StaysOn,
    /// The dispenser is on less often than it should be.
    DispensesLess,
    /// The inlet valve shuts with a blow.
    Hammers,
    /// Water leaves through the hose with the drain pump off.
    Siphons,
    /// Water is heard in the hose after a drain.
    FlowsBack,
    /// Water is heard in the hose to the end of the drain.
    EmptiesLate,
    /// The heater goes off and on within a hold.
    HeatCycles,
    /// The heater is on at the very end, and for too long.
    HeatAtEnd,
    /// The wash pump's power wanders: it draws air.
    Unsteady,
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
    /// Less water comes in a minute of filling than heat balance shows as a rule.
    InflowLow,
    /// More.
    InflowHigh,
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
    /// A whole part of the programme is missing.
    LeftOut,
    /// An interval is missing.
    Missing,
    /// An interval is too short.
    TooShort,
    /// Something that is not in the chart.
    Extra,
}

impl Departure {
    /// All of them.
    pub const ALL: [Self; 49] = [
        Self::LogEnds,
        Self::CurrentNever,
        Self::CurrentFaint,
        Self::OutOfScale,
        Self::Clips,
        Self::CurrentGone,
        Self::SupplyDeaf,
        Self::DrainDeaf,
        Self::ClipOpen,
        Self::ClipStill,
        Self::NoSupplyFlow,
        Self::PumpSilent,
        Self::NeverDrains,
        Self::DrainStaysOn,
        Self::MainsLow,
        Self::Dips,
        Self::DropsOut,
        Self::Opened,
        Self::Chatters,
        Self::SlowStart,
        Self::StaysOn,
        Self::DispensesLess,
        Self::Hammers,
        Self::Siphons,
        Self::FlowsBack,
        Self::EmptiesLate,
        Self::HeatCycles,
        Self::HeatAtEnd,
        Self::Unsteady,
        Self::BeganAgain,
        Self::BrokeOff,
        Self::PumpStalls,
        Self::NoDrainFlow,
        Self::FlowWhenOff,
        Self::SupplyCold,
        Self::SupplyHot,
        Self::InflowLow,
        Self::InflowHigh,
        Self::NoHeat,
        Self::CurrentLow,
        Self::CurrentHigh,
        Self::HoldNotReached,
        Self::NeverPurged,
        Self::PurgedTooOften,
        Self::TooLong,
        Self::LeftOut,
        Self::Missing,
        Self::TooShort,
        Self::Extra,
    ];

    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::LogEnds => "log-ends",
            Self::CurrentFaint => "current-faint",
            Self::CurrentNever => "current-never",
            Self::OutOfScale => "out-of-scale",
            Self::Clips => "clips",
            Self::CurrentGone => "current-gone",
            Self::SupplyDeaf => "supply-deaf",
            Self::DrainDeaf => "drain-deaf",
            Self::ClipOpen => "clip-open",
            Self::ClipStill => "clip-still",
            Self::NoSupplyFlow => "no-supply-flow",
            Self::PumpSilent => "pump-silent",
            Self::NeverDrains => "never-drains",
            Self::DrainStaysOn => "drain-stays-on",
            Self::MainsLow => "mains-low",
            Self::Dips => "dips",
            Self::DropsOut => "drops-out",
            Self::Opened => "opened",
            Self::Chatters => "chatters",
            Self::SlowStart => "slow-start",
            Self::StaysOn => "stays-on",
            Self::DispensesLess => "dispenses-less",
            Self::Hammers => "hammers",
            Self::Siphons => "siphons",
            Self::FlowsBack => "flows-back",
            Self::EmptiesLate => "empties-late",
            Self::HeatCycles => "heat-cycles",
            Self::HeatAtEnd => "heat-at-end",
            Self::Unsteady => "unsteady",
            Self::BeganAgain => "began-again",
            Self::BrokeOff => "broke-off",
            Self::PumpStalls => "pump-stalls",
            Self::NoDrainFlow => "no-drain-flow",
            Self::FlowWhenOff => "flow-when-off",
            Self::SupplyCold => "supply-cold",
            Self::SupplyHot => "supply-hot",
            Self::InflowLow => "inflow-low",
            Self::InflowHigh => "inflow-high",
            Self::NoHeat => "no-heat",
            Self::CurrentLow => "current-low",
            Self::CurrentHigh => "current-high",
            Self::HoldNotReached => "hold-not-reached",
            Self::NeverPurged => "never-purged",
            Self::PurgedTooOften => "purged-too-often",
            Self::TooLong => "too-long",
            Self::LeftOut => "left-out",
            Self::Missing => "missing",
            Self::TooShort => "too-short",
            Self::Extra => "extra",
        }
    }
}

impl Departure {
    /// Whether it is about what comes in which order, and what each load draws, and not about how long or how warm: what is
    /// left to say of a test run in which each interval is cut short by hand.
    #[must_use]
    pub const fn is_of_order_or_load(self) -> bool {
        matches!(
            self,
            Self::LeftOut
                | Self::Missing
                | Self::Extra
                | Self::NoHeat
                | Self::CurrentLow
                | Self::CurrentHigh
                | Self::PumpStalls
                | Self::PumpSilent
                | Self::StaysOn
                | Self::Chatters
                | Self::SlowStart
                | Self::NoDrainFlow
                | Self::NoSupplyFlow
                | Self::BrokeOff
        )
    }
}

impl fmt::Display for Departure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}
