//! Constants of what follows each place of a programme, with how often it does of all times. A place that is not named follows now and then
//! (`chain::UNUSUAL`).

use super::super::place::Place::{
    self, Drain, DrainAndFill, DryHeat, Fill, Heat, HeatRest, HeatStir, Idle, Inrush, PartDry, PartHeat,
    Pause, Purge, Rest, Settle, Small, Soak, Stir, Stuck, TopUp, Wait, Wash, WashAndDrain,
};
use crate::constant::{Weights, constants};

constants! { "loads.follows":
    /// After a time in which the machine was idle: mostly water comes in, or what was left in the tub is drained first.
    IDLE: Weights<Place> = Weights::of(&[
        (Fill, 6.0), (Drain, 3.0), (Small, 0.3), (Wash, 0.2), (Stir, 0.1), (Inrush, 0.1), (DryHeat, 0.1),
    ]), "ratio", Practice;
    /// After a pause in an empty tub: the next water, another drain, or drying.
    PAUSE: Weights<Place> = Weights::of(&[
        (Fill, 5.0), (Drain, 2.0), (DryHeat, 1.0), (Small, 1.0), (PartDry, 0.2), (Stir, 0.3), (Wash, 0.1),
        (Inrush, 0.2),
    ]), "ratio", Practice;
    /// After the first seconds in water: the pump starts, or the valve opens again.
    SETTLE: Weights<Place> = Weights::of(&[
        (Wash, 4.0), (Stir, 3.0), (Fill, 3.0), (HeatStir, 0.3), (Heat, 0.5), (Inrush, 1.0),
    ]), "ratio", Practice;
    /// After a rest of the pump, or a longer wait, in water: it goes on, or drains.
    REST: Weights<Place> = Weights::of(&[
        (Stir, 5.0), (Wash, 3.0), (Drain, 2.0), (Fill, 0.1), (HeatStir, 1.0), (Heat, 0.5), (Inrush, 0.5),
    ]), "ratio", Practice;
    /// After a soak: washing goes on, or the water is drained.
    SOAK: Weights<Place> = Weights::of(&[
        (Wash, 4.0), (Stir, 2.0), (Drain, 2.0), (Fill, 1.0), (Heat, 0.5), (Inrush, 0.5),
    ]), "ratio", Practice;
    /// After water came in: it is washed with, and may settle, be waited in, or be drained.
    FILL: Weights<Place> = Weights::of(&[
        (Wash, 4.0), (Stir, 3.0), (Settle, 3.0), (Wait, 0.5), (Inrush, 1.0), (Soak, 0.2), (Heat, 0.3),
        (Drain, 0.03), (Pause, 0.1), (DrainAndFill, 0.1),
    ]), "ratio", Practice;
    /// After washing that goes on: heat, a drain, a purge; seldom more water.
    WASH: Weights<Place> = Weights::of(&[
        (Drain, 5.0), (Heat, 4.0), (Rest, 1.0), (Wait, 0.4), (Soak, 0.3), (Fill, 0.03), (PartHeat, 0.4),
        (Inrush, 0.3), (Purge, 2.0), (TopUp, 1.0), (WashAndDrain, 1.0), (Pause, 0.1),
    ]), "ratio", Practice;
    /// After washing of seconds: mostly a rest of the pump.
    STIR: Weights<Place> = Weights::of(&[
        (Rest, 5.0), (Drain, 2.0), (HeatStir, 1.0), (Heat, 1.0), (Fill, 0.03), (Wait, 1.0), (Soak, 0.1),
        (PartHeat, 0.1), (Inrush, 0.3), (Purge, 0.5), (TopUp, 0.5), (WashAndDrain, 0.5), (Pause, 0.1),
    ]), "ratio", Practice;
    /// After a pump that would not start: it is tried again, the water is heated all the same, or drained.
    STUCK: Weights<Place> = Weights::of(&[
        (Inrush, 6.0), (HeatRest, 1.5), (Drain, 1.0), (Wash, 0.2), (Stir, 0.3), (Fill, 0.2),
    ]), "ratio", Practice;
    /// After heat beside a pump that would not start: it is tried again, or the water is drained.
    HEAT_REST: Weights<Place> = Weights::of(&[(Stuck, 4.0), (Inrush, 2.0), (Drain, 1.0)]), "ratio", Practice;
    /// After washing of seconds in which water is heated: mostly a rest of the pump.
    HEAT_STIR: Weights<Place> = Weights::of(&[
        (Rest, 6.0), (Stir, 3.0), (Wash, 0.5), (Drain, 0.5), (PartHeat, 0.1), (Inrush, 0.1), (Pause, 0.1),
    ]), "ratio", Practice;
    /// After heat in water, by the whole heater or a part of it: washing goes on, or the water is drained.
    HEAT: Weights<Place> = Weights::of(&[
        (Wash, 4.0), (Stir, 2.0), (Drain, 2.0), (Rest, 0.7), (PartHeat, 0.3), (Heat, 0.3), (Purge, 0.7),
        (TopUp, 0.5), (Wait, 0.3), (Soak, 0.1), (Inrush, 0.2), (Pause, 0.1), (DryHeat, 0.02),
    ]), "ratio", Practice;
    /// After a drain: a pause, the next water, drying, or the end.
    DRAIN: Weights<Place> = Weights::of(&[
        (Pause, 4.0), (Fill, 3.0), (Idle, 1.5), (DryHeat, 1.0), (Small, 0.6), (PartDry, 0.2), (Rest, 0.1),
        (Stir, 0.03), (Inrush, 0.1), (WashAndDrain, 0.5), (DrainAndFill, 0.1),
    ]), "ratio", Practice;
    /// After heat in an empty tub, by the whole heater or a part of it: the end, a vent, or a pause.
    DRY_HEAT: Weights<Place> = Weights::of(&[
        (Idle, 3.0), (Small, 2.0), (Pause, 2.0), (Drain, 1.0),
    ]), "ratio", Practice;
    /// After a vent or a fan: the end, a drain, more heat, or the next water.
    SMALL: Weights<Place> = Weights::of(&[
        (Idle, 4.0), (Drain, 2.0), (DryHeat, 2.0), (Pause, 1.0), (PartDry, 0.2), (Fill, 1.5),
    ]), "ratio", Practice;
    /// After a start of the wash pump: it washes, or has stalled and is tried again.
    INRUSH: Weights<Place> = Weights::of(&[
        (Wash, 4.0), (Stir, 3.0), (Stuck, 2.0), (HeatRest, 0.2), (Drain, 1.0), (Heat, 0.5), (Pause, 0.5),
    ]), "ratio", Practice;
    /// After water was drained while the pump washes: the same amount comes in.
    PURGE: Weights<Place> = Weights::of(&[(TopUp, 6.0), (Wash, 1.0), (Stir, 1.0)]), "ratio", Practice;
    /// After water came in while the pump washes: it washes on, heats, or purges again.
    TOP_UP: Weights<Place> = Weights::of(&[
        (Wash, 3.0), (Stir, 3.0), (Heat, 1.0), (Purge, 0.7), (Drain, 0.2),
    ]), "ratio", Practice;
    /// After a drain in which the pump stirs: mostly a drain without it.
    WASH_AND_DRAIN: Weights<Place> = Weights::of(&[
        (Drain, 5.0), (Wash, 1.0), (Stir, 1.0), (Pause, 0.5),
    ]), "ratio", Practice;
    /// After a drain while water comes in: mostly a drain alone.
    DRAIN_AND_FILL: Weights<Place> = Weights::of(&[
        (Drain, 3.0), (WashAndDrain, 1.0), (Fill, 1.0),
    ]), "ratio", Practice;
}
