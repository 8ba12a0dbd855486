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
    /// States that can be told by power alone and by order.
    pub const BY_POWER: &[Self] = &[Off, Fill, Drain, Wash, Heat, DryHeat, PartHeat, PartDry, Small, Inrush];

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

    /// Mean duration of the state in seconds, for an exponential distribution. Common practice, no source.
    #[must_use]
    pub const fn dwell(self) -> f64 {
        match self {
            Off => 1e5,
            Fill | DrainAndFill => 150.0,
            Drain => 100.0,
            Wash | Heat | DryHeat | PartHeat | PartDry | Small => 1_500.0,
            // A locked motor's protector opens within seconds.
            Inrush => 5.0,
            Purge => 10.0,
            TopUp | Dispense => 15.0,
            WashAndDrain => 60.0,
        }
    }

    /// Log-probability that `next` follows this state, roughly, by what controls do. Common practice, no source. Only the order of
    /// magnitude matters: a usual step costs 1 or 2, an odd one 6 or more.
    #[must_use]
    pub(super) fn log_transition(self, next: Self) -> f64 {
        if self == next {
            return 0.0;
        }
        let cost = match (self, next) {
            // Water comes, then the pump starts.
            (Off, Fill | Drain) => 2.0,
            (Fill, Wash) => 1.0,
            (Fill, Inrush) => 1.5,
            (Fill, Off | Drain) => 3.0,
            // A valve opens for water that is then used: a small load before nothing is something else.
            (Fill, Small) => 6.0,
            (Small, Wash | Heat | Inrush) => 12.0,
            // Washing: heat comes and goes, water is purged, topped up, pumped out.
            (Wash | TopUp, Heat) => 1.5,
            (Heat, Wash) => 1.0,
            (Wash, Drain) => 1.5,
            (Heat, Drain) => 2.0,
            (Wash | Heat, Purge) => 2.5,
            (Wash | Heat, TopUp | WashAndDrain | Off | Inrush) => 3.0,
            (Wash, Fill) => 3.5,
            (Purge, TopUp) => 0.7,
            (Purge, Wash) => 2.0,
            (TopUp, Wash) => 1.0,
            (TopUp, Purge) => 2.5,
            (WashAndDrain, Drain | Wash) => 2.0,
            (Drain, DrainAndFill) => 4.0,
            (DrainAndFill, Drain | WashAndDrain) => 2.0,
            (Drain, Fill | Off) => 1.5,
            (Drain, Inrush | WashAndDrain) => 2.5,
            (Drain, Wash) => 4.0,
            (Inrush, Wash) => 0.5,
            (Inrush, Drain) => 1.5,
            (Inrush, Off) => 2.0,
            (Off, Inrush) => 3.0,
            (Off, Wash) => 4.0,
            // Drying comes after the last water, and needs no pump.
            (Drain | Off, DryHeat | Small) => 3.0,
            (Drain | Off, PartDry) => 4.5,
            (PartDry, Off | Small) => 1.5,
            (DryHeat, Off | Small) => 1.5,
            (DryHeat, Drain) => 2.5,
            (Small, Off) => 1.5,
            (Small, Drain | DryHeat) => 2.0,
            (Small, Fill) => 6.0,
            (DryHeat, Wash | Heat) | (Wash | Heat, DryHeat) => 6.0,
            (Drain | Off, Heat) | (Fill, Heat) => 6.0,
            // What draws several times the pump's current for minutes is no stalled pump, whose protector trips in seconds.
            (Wash | Heat | Drain, PartHeat) => 5.0,
            (PartHeat, Wash | Purge) => 1.5,
            (PartHeat, Drain | Off | Small) => 3.0,
            _ => 5.0,
        };
        -cost
    }

    /// Log-probability that a trace, or what follows a gap in it, begins in this state, roughly. Common practice, no source.
    pub(super) const fn log_initial(self) -> f64 {
        match self {
            Off => -0.5,
            // A heater without its pump is the rarer way to heat.
            DryHeat | PartHeat | PartDry | Inrush => -5.0,
            _ => -2.5,
        }
    }

    /// Log-probabilities of a model of these states: of each at the start, and `[a][b]` of state `b` right after state `a`.
    #[must_use]
    pub fn log_probabilities(states: &[Self]) -> (Vec<f64>, Vec<Vec<f64>>) {
        let initial = states.iter().map(|s| s.log_initial()).collect();
        let transition =
            states.iter().map(|a| states.iter().map(|&b| a.log_transition(b)).collect()).collect();
        (initial, transition)
    }
}
