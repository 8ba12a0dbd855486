//! How likely a reading is in a state, given the levels of this machine.

use super::levels::{HEATER_AT_LEAST, Levels, SMALL};
use super::observe::Observation;
use super::state::State;
use crate::trace::Noise;
use tubtrace_units::Load;

/// An observation speaks for at most this many seconds. A stretch of steady readings is hardly more than one independent
/// reading: how far its level is off has one cause, however long it lasts.
const LONGEST: f64 = 2.0;

/// Spread of a load's power about its level.
const SPREAD: f64 = 0.11;

/// What is small is known least: a vent, a fan and a dispenser differ by more than their own spread.
const SMALL_SPREAD: f64 = 0.5;

/// Part of all readings that fit no level: starting, stopping, averaged over a change.
const ODD: f64 = 0.02;

/// What a state that contradicts the heater's threshold costs, whatever the duration: no heater interval is ever
/// smoothed away or stretched.
const NEVER: f64 = -200.0;

/// Log-likelihood of an observation in `state`.
#[must_use]
pub(super) fn log_likelihood(
    levels: &Levels,
    observation: &Observation,
    heard: Option<&Heard>,
    state: State,
) -> f64 {
    let heats = matches!(state, State::Heat | State::DryHeat);
    if heats != is_hot(levels, observation) && !(state == State::Surge && levels.may_surge(observation)) {
        return NEVER;
    }
    over_its_time(observation, power(levels, observation.power.0, state) + flow(heard, state), state)
}

fn is_hot(levels: &Levels, observation: &Observation) -> bool {
    levels.heater.is_some_and(|h| observation.power.0 > h.threshold.0)
}

/// What an observation says of a state that fits it so well, over all of its time.
fn over_its_time(observation: &Observation, fit: f64, state: State) -> f64 {
    let duration = observation.duration().0;
    // The second term makes a long stay in a state that is short as a rule costly: an exponential dwell.
    duration.min(LONGEST) * fit - duration / state.dwell()
}

/// The same with something small running beside it or not. A wash pump hides it, and so does a heater.
pub(super) fn beside(
    levels: &Levels,
    observation: &Observation,
    heard: Option<&Heard>,
    state: State,
    small: bool,
) -> f64 {
    if !small {
        return log_likelihood(levels, observation, heard, state);
    }
    match state {
        State::Off => log_likelihood(levels, observation, heard, State::Small),
        State::Fill | State::Drain if is_hot(levels, observation) => NEVER,
        State::Fill | State::Drain => {
            let expected = levels.of(state).0 + SMALL;
            let spread = (SPREAD * (expected - SMALL - levels.standby.0))
                .hypot(SMALL_SPREAD * SMALL)
                .hypot(levels.meter.0);
            let density = (1.0 - ODD) * normal(observation.power.0, expected, spread) + ODD / 1_000.0;
            over_its_time(observation, density.ln() + flow(heard, state), state)
        }
        _ => log_likelihood(levels, observation, heard, state),
    }
}

fn power(levels: &Levels, watts: f64, state: State) -> f64 {
    let wash = levels.wash.0;
    let density = match state {
        // Locked, a motor draws up to seven times its current; as it starts, half a cycle of it may be twice that again.
        State::Surge => {
            0.9 * uniform(watts, 2.2 * wash, 7.0 * wash) + 0.1 * uniform(watts, 2.2 * wash, 20.0 * wash)
        }
        State::PartHeat | State::PartDry => {
            uniform(watts, 1.45 * wash, levels.heater.map_or(HEATER_AT_LEAST, |h| h.threshold.0))
        }
        State::Heat | State::DryHeat => {
            let level = levels.heater.map_or(2_000.0, |h| h.level.0);
            // The pump is lost in what the mains does to the heater: order and pickups decide whether it runs.
            0.9 * normal(watts, level, 0.06 * level) + 0.1 * uniform(watts, 0.3 * level, 1.3 * level)
        }
        // Pumps start above their level and change their speed; worn, they draw less.
        State::Wash => {
            0.90 * level(levels, watts, state)
                + 0.05 * uniform(watts, wash, 3.0 * wash)
                + 0.03 * uniform(watts, 0.55 * wash, wash)
        }
        // A drain pump works against whatever head there is, and may share its time with something small.
        State::Drain => {
            0.9 * level(levels, watts, state) + 0.1 * uniform(watts, levels.drain.0, 2.0 * levels.drain.0)
        }
        _ => level(levels, watts, state),
    };
    (density + ODD / 1_000.0).ln()
}

fn level(levels: &Levels, watts: f64, state: State) -> f64 {
    let expected = levels.of(state).0;
    let spread = if state == State::Small { SMALL_SPREAD } else { SPREAD };
    (1.0 - ODD) * normal(watts, expected, (spread * (expected - levels.standby.0)).hypot(levels.meter.0))
}

fn normal(x: f64, mean: f64, deviation: f64) -> f64 {
    let z = (x - mean) / deviation;
    (-0.5 * z * z).exp() / (deviation * (2.0 * std::f64::consts::PI).sqrt())
}

fn uniform(x: f64, low: f64, high: f64) -> f64 {
    if (low..=high).contains(&x) { 1.0 / (high - low) } else { 0.0 }
}

/// What the pickups say of one observation, as logarithms: each without the load that they hear, and with it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Heard {
    supply: [f64; 2],
    drain: [f64; 2],
    /// While water runs in the hose, the pump beside it is not heard.
    pump: [f64; 2],
}

impl Heard {
    /// Of an observation; nothing without pickups.
    pub(super) fn of(levels: &Levels, observation: &Observation) -> Option<Self> {
        let (flow, detail) = (levels.flow.as_ref()?, observation.detail?);
        let supply = heard(detail.supply, flow.supply);
        let drain = heard(detail.drain, flow.drain);
        let pump = flow.pump.map(|threshold| heard(detail.drain, threshold));
        Some(Self {
            // A valve that is open is heard, or there is no water. A drain pump that runs may well move none.
            supply: [(1.0 - 0.98 * supply).ln(), (0.02 + 0.98 * supply).ln()],
            drain: [(1.0 - 0.98 * drain).ln(), (0.1 + 0.9 * drain).ln()],
            pump: pump.map_or([0.0; 2], |pump| [(1.0 - 0.9 * pump).ln(), (0.1 + 0.9 * pump).ln()]),
        })
    }

    fn log_likelihood(&self, state: State) -> f64 {
        let loads = state.loads();
        let has = |load| usize::from(loads.has(load));
        let drains = has(Load::DrainPump);
        let pump = if drains == 1 { 0.0 } else { self.pump[has(Load::WashPump)] };
        self.supply[has(Load::FillValve)] + self.drain[drains] + pump
    }
}

fn flow(heard: Option<&Heard>, state: State) -> f64 {
    heard.map_or(0.0, |heard| heard.log_likelihood(state))
}

/// Probability that a level is above a threshold: one half at it, 0.95 at 1.65 times.
fn heard(level: Noise, threshold: Noise) -> f64 {
    let ratio = (level.0.max(0.05) / threshold.0).ln();
    1.0 / (1.0 + (-6.0 * ratio).exp())
}
