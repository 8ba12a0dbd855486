//! What can be wrong: with the house, the machine, or the logger itself.

use serde::{Deserialize, Serialize};
use strum::{EnumMessage, VariantArray};

/// A fault that is there for one cycle. How much there is of it, its [`Trouble::severity`] says.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    EnumMessage,
    VariantArray,
)]
pub enum Fault {
    /// The house's water comes cold.
    ColdSupply,
    /// The inlet gives a third of its flow.
    SlowFill,
    /// The float or its switch shuts the valve early.
    ShortFill,
    /// The supply valve is shut: the control gives up.
    NoWater,
    /// The inlet valve lets water by when it is off.
    LeakingValve,
    /// The valve shuts with a blow that shakes the pipe.
    WaterHammer,

    /// The element draws nothing: open, or its relay does not close.
    NoHeat,
    /// Part of the element is gone: heat, but less, and later.
    WeakElement,
    /// A limit thermostat opens too early, and closes again.
    LimiterCycling,
    /// The element is on between two waters.
    HeatWithoutWater,
    /// The element's relay is welded: heat goes on after the end.
    HeatStuckOn,
    /// So much of the element is gone that the hold never ends by temperature.
    HoldNotReached,
    /// The temperature sensor reads low: full heat until time is up.
    SensorReadsLow,

    /// The wash pump is seized: locked-rotor current until its protector opens, again and again.
    PumpWontStart,
    /// The wash pump's circuit is open: nothing at all.
    PumpOpen,
    /// The wash pump takes seconds to come up to speed.
    PumpSlowStart,
    /// The wash pump's impeller is worn: it draws less, and moves less.
    PumpWeak,
    /// The machine is out of level: the pump draws air.
    PumpStarved,
    /// The wash pump drops out for seconds, now and then.
    PumpIntermittent,

    /// The drain pump's circuit is open.
    DrainOpen,
    /// The drain pump runs and nothing comes.
    NoDrainFlow,
    /// The drain is half blocked.
    SlowDrain,
    /// Water siphons out with the pump off: the hose's loop is missing.
    SiphonsOut,
    /// The check valve lets water back after a drain.
    FlowsBack,
    /// The control never purges though the water is dirty.
    NoPurge,

    /// The dispenser draws nothing.
    DispenserOpen,
    /// The dispenser stays on.
    DispenserStuck,
    /// The vent draws nothing.
    VentOpen,
    /// The vent stays on.
    VentStuck,

    /// The control cuts an interval short.
    IntervalShort,
    /// The control draws an interval out.
    IntervalLong,
    /// The control leaves a water out.
    WaterSkipped,
    /// The control does a water twice.
    WaterRepeated,
    /// Power goes in the middle of the main wash, and the control begins again from the start.
    StopAndRestart,
    /// The control stops in the middle and does not go on.
    StopsHalfway,
    /// The control dries before the last water.
    WrongOrder,
    /// The wash pump's relay chatters when it closes.
    RelayChatter,
    /// The drain pump's relay is welded.
    RelayWelded,
    /// The control's clock is slow.
    TimerDrift,

    /// The mains goes for seconds, and the control goes on.
    PowerDropout,
    /// The mains is low for minutes.
    BrownOut,
    /// Somebody opens the door.
    DoorOpened,

    /// The clamp comes off the conductor.
    ClampFellOff,
    /// The clamp is around both conductors.
    ClampOnTwo,
    /// The clamp's range is too small for the machine.
    ClampSaturated,
    /// A pickup has come loose.
    PickupLoose,
    /// A temperature clip has come off, and reads the room.
    ClipFellOff,
    /// A thermistor's lead is broken.
    SensorOpen,
    /// The logger's battery is empty in the middle.
    BatteryDied,
}

impl Fault {
    /// Those that the first tests go through, on two machines.
    pub const FIRST: [Self; 9] = [
        Self::NoHeat,
        Self::ColdSupply,
        Self::SlowFill,
        Self::NoDrainFlow,
        Self::PumpWontStart,
        Self::LeakingValve,
        Self::StopAndRestart,
        Self::HoldNotReached,
        Self::NoPurge,
    ];

    /// Every fault, in the order in which they are declared.
    pub fn all() -> impl Iterator<Item = Self> {
        Self::VARIANTS.iter().copied()
    }

    /// What it is, in the words that stand beside its declaration.
    #[must_use]
    pub fn words(self) -> String {
        let declared = self.get_documentation().unwrap_or_default().trim_end_matches('.');
        let mut chars = declared.chars();
        chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
    }

    /// Whether it is the logger's own.
    #[must_use]
    pub const fn is_loggers(self) -> bool {
        matches!(
            self,
            Self::ClampFellOff
                | Self::ClampOnTwo
                | Self::ClampSaturated
                | Self::PickupLoose
                | Self::ClipFellOff
                | Self::SensorOpen
                | Self::BatteryDied
        )
    }
}

/// A fault, and how much there is of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Trouble {
    /// Which fault it is.
    pub fault: Fault,
    /// From 0, which a person might just notice, to 1.
    pub severity: f64,
}

impl From<Fault> for Trouble {
    fn from(fault: Fault) -> Self {
        Self { fault, severity: 1.0 }
    }
}

impl Trouble {
    /// From `least` at severity 0 to `most` at 1.
    #[must_use]
    pub fn between(&self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.severity
    }
}
