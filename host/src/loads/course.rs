//! The course of a programme: for how long each place lasts, what follows it, and where a trace begins.

use tubtrace_units::Seconds;

use super::constants::chain::{BEGINS_BETWEEN, BEGINS_ELSEWHERE, BEGINS_IDLE, BEGINS_RUNNING};
use super::constants::{dwell, follows};
use super::place::Place::{
    self, Drain, DrainAndFill, DryHeat, Fill, Heat, HeatRest, HeatStir, Idle, Inrush, PartDry, PartHeat,
    Pause, Purge, Rest, Settle, Small, Soak, Stir, Stuck, TopUp, Wait, Wash, WashAndDrain,
};
use crate::constant::Weights;

impl Place {
    /// How long a stretch in this place lasts on average.
    pub(super) fn dwell(self) -> Seconds {
        match self {
            Idle => dwell::IDLE.get(),
            Pause => dwell::PAUSE.get(),
            Settle => dwell::SETTLE.get(),
            Rest => dwell::REST.get(),
            Wait | Stuck => dwell::WAIT.get(),
            HeatRest => dwell::HEAT_REST.get(),
            Soak => dwell::SOAK.get(),
            Fill => dwell::FILL.get(),
            Wash => dwell::WASH.get(),
            Stir | HeatStir => dwell::STIR.get(),
            Heat | PartHeat | DryHeat | PartDry => dwell::HEAT.get(),
            Drain => dwell::DRAIN.get(),
            Small => dwell::SMALL.get(),
            Inrush => dwell::INRUSH.get(),
            Purge => dwell::PURGE.get(),
            TopUp => dwell::TOP_UP.get(),
            WashAndDrain => dwell::WASH_AND_DRAIN.get(),
            DrainAndFill => dwell::DRAIN_AND_FILL.get(),
        }
    }

    /// What usually follows, with how often it does of all times: only the ratios count.
    pub(super) fn next(self) -> Weights<Self> {
        match self {
            Idle => follows::IDLE.get(),
            Pause => follows::PAUSE.get(),
            Settle => follows::SETTLE.get(),
            Rest | Wait => follows::REST.get(),
            Soak => follows::SOAK.get(),
            Fill => follows::FILL.get(),
            Wash => follows::WASH.get(),
            Stir => follows::STIR.get(),
            Stuck => follows::STUCK.get(),
            HeatRest => follows::HEAT_REST.get(),
            HeatStir => follows::HEAT_STIR.get(),
            Heat | PartHeat => follows::HEAT.get(),
            Drain => follows::DRAIN.get(),
            DryHeat | PartDry => follows::DRY_HEAT.get(),
            Small => follows::SMALL.get(),
            Inrush => follows::INRUSH.get(),
            Purge => follows::PURGE.get(),
            TopUp => follows::TOP_UP.get(),
            WashAndDrain => follows::WASH_AND_DRAIN.get(),
            DrainAndFill => follows::DRAIN_AND_FILL.get(),
        }
    }

    /// How often a trace, or what follows a gap in it, begins here, of all times: only the ratios count.
    pub(super) fn initial(self) -> f64 {
        match self {
            Idle => BEGINS_IDLE.get(),
            Fill | Wash | Heat | Drain => BEGINS_RUNNING.get(),
            Pause | Settle | Rest | Wait | Soak | Stir | Small | DryHeat => BEGINS_BETWEEN.get(),
            _ => BEGINS_ELSEWHERE.get(),
        }
    }
}
