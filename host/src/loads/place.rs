//! The places of the Markov chain: where in a programme a machine is, each with the state of its loads.
//!
//! A state says what runs, a place also whether there is water in the tub and how long such a stretch usually lasts: a pause in water is another
//! place than one after a drain, and washing that rests every minute another than washing that goes on. So a drain is followed by a fill
//! or by the end because the tub is empty, and how long a state lasts is a mixture of exponential distributions (M. F. Neuts,
//! Matrix-Geometric Solutions in Stochastic Models, 1981, chapter 2: distributions of phase type).

use strum::VariantArray;

use super::state::State;

/// Where in a programme a machine is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, VariantArray)]
pub(crate) enum Place {
    /// Nothing runs, and the tub is empty: before, after and between programmes.
    Idle,
    /// Nothing runs for seconds in an empty tub, between a drain and what follows.
    Pause,
    /// Nothing runs for seconds right after water came in: the valve opens in pulses, or the pump is about to start.
    Settle,
    /// Nothing runs for seconds in water: the pump rests, spray arms change.
    Rest,
    /// Nothing runs for a minute in water: the control waits, or tries a pump again.
    Wait,
    /// Nothing runs in water since the pump would not start: the control tries again.
    Stuck,
    /// Nothing runs for many minutes in water: it soaks.
    Soak,
    /// Water comes in.
    Fill,
    /// The pump washes, and goes on.
    Wash,
    /// The pump washes for seconds, between rests.
    Stir,
    /// The pump washes and water is heated.
    Heat,
    /// The same for seconds, between rests of the pump.
    HeatStir,
    /// The heater is on in water although the pump would not start.
    HeatRest,
    /// Heat in water by a part of the heater's power.
    PartHeat,
    /// Water leaves.
    Drain,
    /// The heater dries an empty tub.
    DryHeat,
    /// The same by a part of its power.
    PartDry,
    /// Something small in an empty tub: a vent, a fan.
    Small,
    /// The wash pump starts, or stalls.
    Inrush,
    /// Water is drained and let in while the pump washes.
    Purge,
    /// Water is let in while the pump washes.
    TopUp,
    /// The pump stirs while it drains.
    WashAndDrain,
    /// It drains while water comes in.
    DrainAndFill,
}

use Place::{
    Drain, DrainAndFill, DryHeat, Fill, Heat, HeatRest, HeatStir, Idle, Inrush, PartDry, PartHeat, Pause,
    Purge, Rest, Settle, Small, Soak, Stir, Stuck, TopUp, Wait, Wash, WashAndDrain,
};

impl Place {
    /// What runs.
    pub(super) const fn state(self) -> State {
        match self {
            Idle | Pause | Settle | Rest | Wait | Stuck | Soak => State::Off,
            Fill => State::Fill,
            Wash | Stir => State::Wash,
            Heat | HeatStir => State::Heat,
            PartHeat => State::PartHeat,
            Drain => State::Drain,
            DryHeat | HeatRest => State::DryHeat,
            PartDry => State::PartDry,
            Small => State::Small,
            Inrush => State::Inrush,
            Purge => State::Purge,
            TopUp => State::TopUp,
            WashAndDrain => State::WashAndDrain,
            DrainAndFill => State::DrainAndFill,
        }
    }
}
