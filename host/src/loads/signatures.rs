//! Load signatures: the power that each load of one machine draws, and the levels of flow noise that its pickups hear.

use tubtrace_units::Watts;

use super::constants::emission::{INRUSH_BELOW_HEATER, INRUSH_FIRST, INRUSH_LEAST, SMALL_LOAD_SPREAD};
use super::constants::learning::SMALL_LOAD;
use super::segment::Segment;
use super::state::State;
use crate::trace::Noise;

/// The heater of one machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heater {
    /// Power of the machine while it heats, wash pump and control included.
    pub level: Watts,
    /// The same without the wash pump.
    pub dry: Watts,
    /// Power above which the heater is on: half of the level.
    pub threshold: Watts,
}

/// A load that is small and no valve: a vent, a fan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Small {
    /// Power that it adds.
    pub level: Watts,
    /// Standard deviation of that.
    pub spread: Watts,
}

impl Small {
    /// As it is where nothing is known of it.
    pub(super) fn common() -> Self {
        let level = Watts(SMALL_LOAD.get());
        Self { level, spread: level * SMALL_LOAD_SPREAD.get() }
    }
}

/// Thresholds of flow noise, between silence and flow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flow {
    /// Above this level of the supply pickup, water comes in.
    pub supply: Noise,
    /// Above this level of the drain pickup, water leaves.
    pub drain: Noise,
    /// Above this level of the drain pickup, the wash pump runs; none, where the pickup does not hear the pump.
    pub pump: Option<Noise>,
}

/// What the loads of one machine draw, and what its pickups hear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Signatures {
    /// Standard deviation of the meter's readings of a steady load.
    pub meter: Watts,
    /// Power with all loads off.
    pub standby: Watts,
    /// Power that the fill valve adds.
    pub fill: Watts,
    /// Power that the drain pump adds.
    pub drain: Watts,
    /// Power that the wash pump adds.
    pub wash: Watts,
    /// Least and greatest power that it adds, where it has several speeds.
    pub speeds: Option<(Watts, Watts)>,
    /// Whether a machine's file gives them. What they are is then no longer in question, and a drain pump that draws air can be told by less.
    pub given: bool,
    /// What is small and no valve, if there is such a load.
    pub small: Option<Small>,
    /// The heater, if it was on in the trace.
    pub heater: Option<Heater>,
    /// Thresholds of the pickups, if the trace has them.
    pub flow: Option<Flow>,
}

impl Signatures {
    /// What the machine draws in a state without the heater: in heat, what the wash pump draws.
    #[must_use]
    pub fn without_heater(&self, state: State) -> Watts {
        let above = match state {
            State::Off => 0.0,
            State::Fill => self.fill.0,
            State::Drain => self.drain.0,
            State::Small => self.small.map_or(SMALL_LOAD.get(), |small| small.level.0),
            State::Wash | State::Inrush | State::Heat | State::DryHeat | State::PartHeat | State::PartDry => {
                self.wash.0
            }
            State::Purge => self.wash.0 + self.drain.0 + self.fill.0,
            State::Dispense => self.wash.0 + SMALL_LOAD.get(),
            State::TopUp => self.wash.0 + self.fill.0,
            State::WashAndDrain => self.wash.0 + self.drain.0,
            State::DrainAndFill => self.drain.0 + self.fill.0,
        };
        self.standby + Watts(above)
    }

    /// Power that the wash pump adds at its highest speed.
    #[must_use]
    pub fn fastest(&self) -> Watts {
        self.speeds.map_or(self.wash, |(_, fast)| fast.max(self.wash))
    }

    /// Whether a segment above the heater's threshold may be the inrush of a pump that starts or stalls: its power is below the
    /// heater's, or it is shorter than a second.
    #[must_use]
    pub fn may_be_inrush(&self, segment: &Segment) -> bool {
        let power = segment.power.0;
        let below = self.heater.is_none_or(|h| power < INRUSH_BELOW_HEATER.get() * h.dry.0);
        (below || segment.duration().0 < INRUSH_FIRST.get()) && power > INRUSH_LEAST.get() * self.fastest().0
    }
}
