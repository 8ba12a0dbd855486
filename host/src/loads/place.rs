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
pub(super) enum Place {
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

    /// Mean duration in seconds. Common practice, no source; a factor of two costs 0.2 nats a stretch.
    pub(super) const fn dwell(self) -> f64 {
        match self {
            Idle => 20_000.0,
            Pause => 20.0,
            Settle => 5.0,
            Rest => 8.0,
            Wait | Stuck => 60.0,
            HeatRest => 300.0,
            Soak => 600.0,
            Fill => 90.0,
            Wash => 1_200.0,
            Stir | HeatStir => 40.0,
            Heat | PartHeat | DryHeat | PartDry => 900.0,
            Drain => 45.0,
            Small => 1_500.0,
            // A locked motor's protector opens within seconds.
            Inrush => 3.0,
            Purge => 8.0,
            TopUp => 15.0,
            WashAndDrain => 30.0,
            DrainAndFill => 150.0,
        }
    }

    /// What follows, with how often it does of all times: only their ratios matter. Common practice, no source.
    pub(super) const fn next(self) -> &'static [(Self, f64)] {
        match self {
            Idle => &[
                (Fill, 6.0),
                (Drain, 3.0),
                (Small, 0.3),
                (Wash, 0.2),
                (Stir, 0.1),
                (Inrush, 0.1),
                (DryHeat, 0.1),
            ],
            Pause => &[
                (Fill, 5.0),
                (Drain, 2.0),
                (DryHeat, 1.0),
                (Small, 1.0),
                (PartDry, 0.2),
                (Stir, 0.3),
                (Wash, 0.1),
                (Inrush, 0.2),
            ],
            Settle => &[(Wash, 4.0), (Stir, 3.0), (Fill, 3.0), (HeatStir, 0.3), (Heat, 0.5), (Inrush, 1.0)],
            Rest | Wait => &[
                (Stir, 5.0),
                (Wash, 3.0),
                (Drain, 2.0),
                (Fill, 0.1),
                (HeatStir, 1.0),
                (Heat, 0.5),
                (Inrush, 0.5),
            ],
            Soak => &[(Wash, 4.0), (Stir, 2.0), (Drain, 2.0), (Fill, 1.0), (Heat, 0.5), (Inrush, 0.5)],
            Fill => &[
                (Wash, 4.0),
                (Stir, 3.0),
                (Settle, 3.0),
                (Wait, 0.5),
                (Inrush, 1.0),
                (Soak, 0.2),
                (Heat, 0.3),
                (Drain, 0.03),
                (Pause, 0.1),
                (DrainAndFill, 0.1),
            ],
            Wash => &[
                (Drain, 5.0),
                (Heat, 4.0),
                (Rest, 1.0),
                (Wait, 0.4),
                (Soak, 0.3),
                (Fill, 0.03),
                (PartHeat, 0.4),
                (Inrush, 0.3),
                (Purge, 2.0),
                (TopUp, 1.0),
                (WashAndDrain, 1.0),
                (Pause, 0.1),
            ],
            Stir => &[
                (Rest, 5.0),
                (Drain, 2.0),
                (HeatStir, 1.0),
                (Heat, 1.0),
                (Fill, 0.03),
                (Wait, 1.0),
                (Soak, 0.1),
                (PartHeat, 0.1),
                (Inrush, 0.3),
                (Purge, 0.5),
                (TopUp, 0.5),
                (WashAndDrain, 0.5),
                (Pause, 0.1),
            ],
            Stuck => &[(Inrush, 6.0), (HeatRest, 1.5), (Drain, 1.0), (Wash, 0.2), (Stir, 0.3), (Fill, 0.2)],
            HeatRest => &[(Stuck, 4.0), (Inrush, 2.0), (Drain, 1.0)],
            HeatStir => &[
                (Rest, 6.0),
                (Stir, 3.0),
                (Wash, 0.5),
                (Drain, 0.5),
                (PartHeat, 0.1),
                (Inrush, 0.1),
                (Pause, 0.1),
            ],
            Heat | PartHeat => &[
                (Wash, 4.0),
                (Stir, 2.0),
                (Drain, 2.0),
                (Rest, 0.7),
                (PartHeat, 0.3),
                (Heat, 0.3),
                (Purge, 0.7),
                (TopUp, 0.5),
                (Wait, 0.3),
                (Soak, 0.1),
                (Inrush, 0.2),
                (Pause, 0.1),
                (DryHeat, 0.02),
            ],
            Drain => &[
                (Pause, 4.0),
                (Fill, 3.0),
                (Idle, 1.5),
                (DryHeat, 1.0),
                (Small, 0.6),
                (PartDry, 0.2),
                (Rest, 0.1),
                (Stir, 0.03),
                (Inrush, 0.1),
                (WashAndDrain, 0.5),
                (DrainAndFill, 0.1),
            ],
            DryHeat | PartDry => &[(Idle, 3.0), (Small, 2.0), (Pause, 2.0), (Drain, 1.0)],
            Small => &[(Idle, 4.0), (Drain, 2.0), (DryHeat, 2.0), (Pause, 1.0), (PartDry, 0.2), (Fill, 1.5)],
            Inrush => &[
                (Wash, 4.0),
                (Stir, 3.0),
                (Stuck, 2.0),
                (HeatRest, 0.2),
                (Drain, 1.0),
                (Heat, 0.5),
                (Pause, 0.5),
            ],
            Purge => &[(TopUp, 6.0), (Wash, 1.0), (Stir, 1.0)],
            TopUp => &[(Wash, 3.0), (Stir, 3.0), (Heat, 1.0), (Purge, 0.7), (Drain, 0.2)],
            WashAndDrain => &[(Drain, 5.0), (Wash, 1.0), (Stir, 1.0), (Pause, 0.5)],
            DrainAndFill => &[(Drain, 3.0), (WashAndDrain, 1.0), (Fill, 1.0)],
        }
    }

    /// How often a trace, or what follows a gap in it, begins here, of all times. Common practice, no source.
    pub(super) const fn initial(self) -> f64 {
        match self {
            Idle => 10.0,
            Fill | Wash | Heat | Drain => 1.0,
            Pause | Settle | Rest | Wait | Soak | Stir | Small | DryHeat => 0.3,
            _ => 0.05,
        }
    }
}
