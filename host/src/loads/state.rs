//! The joint states of a machine: which loads a control switches on together, and which state follows which.

use tubtrace_units::{Load, Loads};

/// A set of loads that a control switches together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum State {
    /// All loads are off; only the control draws power.
    Off,
    /// The fill valve alone: water comes in.
    Fill,
    /// The drain pump alone: water leaves.
    Drain,
    /// The wash pump alone.
    Wash,
    /// The wash pump and the dispenser. No state of the model: a refinement finds it within washing.
    Dispense,
    /// The wash pump and the heater.
    Heat,
    /// The heater without the pump.
    DryHeat,
    /// The wash pump and a heater that gives a part of its heat.
    PartHeat,
    /// A heater that gives a part of its heat, without the pump.
    PartDry,
    /// A small load alone that is no valve: a vent, a fan or a dispenser.
    Small,
    /// The wash pump at several times its running current: starting, or stalled.
    Inrush,
    /// The wash pump, the drain pump and the fill valve: the first part of a purge.
    Purge,
    /// The wash pump and the fill valve: the second part of a purge, or topping up.
    TopUp,
    /// The wash pump and the drain pump.
    WashAndDrain,
    /// The drain pump and the fill valve: a drain pump that does not stop.
    DrainAndFill,
}

use State::{
    Dispense, Drain, DrainAndFill, DryHeat, Fill, Heat, Inrush, Off, PartDry, PartHeat, Purge, Small, TopUp,
    Wash, WashAndDrain,
};

impl State {
    /// All of them.
    pub const ALL: [Self; 15] = [
        Off,
        Fill,
        Drain,
        Wash,
        Dispense,
        Heat,
        DryHeat,
        PartHeat,
        PartDry,
        Small,
        Inrush,
        Purge,
        TopUp,
        WashAndDrain,
        DrainAndFill,
    ];

    /// How many there are.
    pub(super) const COUNT: usize = Self::ALL.len();

    /// States that can be told by power alone and by order.
    pub const BY_POWER: &[Self] = &[Off, Fill, Drain, Wash, Heat, DryHeat, PartHeat, PartDry, Small, Inrush];

    /// States that can be told by power where it is known what valve and drain pump draw: then both together have a level as well.
    pub const BY_KNOWN_POWER: &[Self] =
        &[Off, Fill, Drain, Wash, Heat, DryHeat, PartHeat, PartDry, Small, Inrush, DrainAndFill];

    /// States that can be told by power and flow noise.
    pub const BY_FLOW: &[Self] = &[
        Off,
        Fill,
        Drain,
        Wash,
        Heat,
        DryHeat,
        PartHeat,
        PartDry,
        Small,
        Inrush,
        Purge,
        TopUp,
        WashAndDrain,
        DrainAndFill,
    ];

    /// The loads that run.
    #[must_use]
    pub const fn loads(self) -> Loads {
        match self {
            Off => Loads::NONE,
            Fill => Loads::of(&[Load::FillValve]),
            Drain => Loads::of(&[Load::DrainPump]),
            Wash | Inrush => Loads::of(&[Load::WashPump]),
            Dispense => Loads::of(&[Load::WashPump, Load::Dispenser]),
            Heat | PartHeat => Loads::of(&[Load::Heater, Load::WashPump]),
            DryHeat | PartDry => Loads::of(&[Load::Heater]),
            // A vent and a fan look the same to a clamp; the vent is the commoner.
            Small => Loads::of(&[Load::Vent]),
            Purge => Loads::of(&[Load::WashPump, Load::DrainPump, Load::FillValve]),
            TopUp => Loads::of(&[Load::WashPump, Load::FillValve]),
            WashAndDrain => Loads::of(&[Load::WashPump, Load::DrainPump]),
            DrainAndFill => Loads::of(&[Load::DrainPump, Load::FillValve]),
        }
    }

    /// Whether the heater is on.
    #[must_use]
    pub const fn heats(self) -> bool {
        matches!(self, Heat | DryHeat | PartHeat | PartDry)
    }

    /// Whether the tub is drained, whatever else runs; the exchange of water in a purge is no drain.
    #[must_use]
    pub const fn drains(self) -> bool {
        matches!(self, Drain | WashAndDrain | DrainAndFill)
    }
}
