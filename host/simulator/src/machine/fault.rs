//! What can be wrong with it.

/// A fault that is there for one cycle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fault {
    /// The element draws nothing: open, or its relay does not close.
    NoHeat,
    /// The house's water comes cold.
    ColdSupply,
    /// The inlet gives a third of its flow.
    SlowFill,
    /// The drain pump runs and nothing comes.
    NoDrainFlow,
    /// The wash pump is seized: locked-rotor current until its protector opens, again and again.
    PumpWontStart,
    /// The inlet valve lets water by when it is off.
    LeakingValve,
    /// Power goes in the middle of the main wash, and the control begins again from the start.
    StopAndRestart,
    /// Part of the element is gone: heat, but never enough to end the hold.
    HoldNotReached,
    /// The control never purges though the water is dirty.
    NoPurge,
}

impl Fault {
    /// All of them.
    pub const ALL: [Self; 9] = [
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
}
