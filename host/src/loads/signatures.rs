//! The levels of a machine: what each of its loads draws, and what its pickups hear.

use tubtrace_units::Watts;

use super::constants::{INRUSH, INRUSH_BELOW_HEATER, INRUSH_FIRST, SMALL_LOAD};
use super::segment::Segment;
use super::state::State;
use crate::trace::Noise;

/// The heater of this machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heater {
    /// What the machine draws while it heats.
    pub level: Watts,
    /// Half of that: above, the heater is on.
    pub threshold: Watts,
}

/// Levels of flow noise between silence and flow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flow {
    /// Supply pickup.
    pub supply: Noise,
    /// Drain pickup.
    pub drain: Noise,
    /// Drain pickup: the wash pump runs above this, if it can be told.
    pub pump: Option<Noise>,
}

/// The levels of a machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Signatures {
    /// Spread of the meter's own readings.
    pub meter: Watts,
    /// With everything off.
    pub standby: Watts,
    /// The fill valve alone.
    pub fill: Watts,
    /// The drain pump alone.
    pub drain: Watts,
    /// The wash pump alone.
    pub wash: Watts,
    /// The heater, if there was any heating.
    pub heater: Option<Heater>,
    /// Pickups, if there are any.
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
            State::Small => SMALL_LOAD,
            State::Wash | State::Inrush | State::Heat | State::DryHeat | State::PartHeat | State::PartDry => {
                self.wash.0
            }
            State::Purge => self.wash.0 + self.drain.0 + self.fill.0,
            State::Dispense => self.wash.0 + SMALL_LOAD,
            State::TopUp => self.wash.0 + self.fill.0,
            State::WashAndDrain => self.wash.0 + self.drain.0,
            State::DrainAndFill => self.drain.0 + self.fill.0,
        };
        self.standby + Watts(above)
    }

    /// Whether this may be a pump that starts or stalls rather than a heater: less than the heater draws or, in its first
    /// second, whatever it takes.
    #[must_use]
    pub fn may_be_inrush(&self, segment: &Segment) -> bool {
        let power = segment.power.0;
        let below = self.heater.is_none_or(|h| power < INRUSH_BELOW_HEATER * h.level.0);
        (below || segment.duration().0 < INRUSH_FIRST) && power > INRUSH.0 * self.wash.0
    }
}
