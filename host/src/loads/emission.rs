//! Emission: how likely the readings of a segment are in each state, given the load signatures of the machine.

use super::constants::emission::{
    AT_ONE_SPEED, AVERAGED, DRAIN_ABOVE_MOST, DRAIN_IN_AIR, DRAIN_IN_AIR_LEAST, DRAIN_IS_HEARD,
    DRAIN_UNHEARD, DRAIN_USUAL, HEARD_STEEPNESS, HEAT_LEAST, HEAT_MOST, HEAT_USUAL, HEATER_CONTRADICTED,
    HEATER_SPREAD, INRUSH_FIRST_MOST, INRUSH_LEAST, INRUSH_MOST, INRUSH_USUAL, LEVEL_SPREAD, ODD_OVER,
    ODD_READINGS, PART_DRY_FROM, PART_HEAT_FROM, PUMP_IS_HEARD, PUMP_UNHEARD, SILENCE, SMALL_LOAD_SPREAD,
    VALVE_IS_HEARD, VALVE_UNHEARD, WASH_ABOVE, WASH_ABOVE_MOST, WASH_BELOW, WASH_BELOW_LEAST, WASH_USUAL,
};
use super::constants::given::AT_ITS_LEVEL;
use super::constants::learning::{COMMON_HEATER, HEATER_AT_LEAST, SMALL_LOAD};
use super::segment::Segment;
use super::signatures::{Heater, Signatures};
use super::state::State;
use crate::trace::Noise;
use tubtrace_units::Load;

/// Log-likelihood of a segment in `state`; `heard` is what its pickups say.
#[must_use]
pub(super) fn log_likelihood(
    signatures: &Signatures,
    segment: &Segment,
    heard: Option<&Heard>,
    state: State,
) -> f64 {
    let heats = matches!(state, State::Heat | State::DryHeat);
    if heats != is_hot(signatures, segment) && !(state == State::Inrush && signatures.may_be_inrush(segment))
    {
        return HEATER_CONTRADICTED.get();
    }
    over_its_time(segment, power(signatures, segment, state) + flow(heard, state))
}

fn is_hot(signatures: &Signatures, segment: &Segment) -> bool {
    signatures.heater.is_some_and(|h| segment.power.0 > h.threshold.0)
}

/// Log-likelihood of a whole segment from `fit`, that of one second of it.
fn over_its_time(segment: &Segment, fit: f64) -> f64 {
    segment.speaks.0 * fit
}

/// Log-likelihood of a segment in `state` with a small load as an overlay (`small`) or without. A wash pump or a heater hides it, so
/// only with all else off, in fills and in drains it makes a difference.
pub(super) fn with_overlay(
    signatures: &Signatures,
    segment: &Segment,
    heard: Option<&Heard>,
    state: State,
    small: bool,
) -> f64 {
    if !small {
        return log_likelihood(signatures, segment, heard, state);
    }
    match state {
        State::Off => log_likelihood(signatures, segment, heard, State::Small),
        State::Fill | State::Drain if is_hot(signatures, segment) => HEATER_CONTRADICTED.get(),
        State::Fill | State::Drain => {
            let expected = signatures.without_heater(state).0 + SMALL_LOAD.get();
            let spread = (LEVEL_SPREAD.get() * (expected - SMALL_LOAD.get() - signatures.standby.0))
                .hypot(SMALL_LOAD_SPREAD.get() * SMALL_LOAD.get())
                .hypot(signatures.meter.0);
            let density = (1.0 - ODD_READINGS.get()) * normal(segment.power.0, expected, spread)
                + ODD_READINGS.get() / ODD_OVER.get();
            over_its_time(segment, density.ln() + flow(heard, state))
        }
        _ => log_likelihood(signatures, segment, heard, state),
    }
}

fn power(signatures: &Signatures, segment: &Segment, state: State) -> f64 {
    let watts = segment.power.0;
    let wash = signatures.fastest().0;
    let density = match state {
        // Locked, a motor draws up to seven times its current; as it starts, half a cycle of it may be twice that again.
        State::Inrush => {
            INRUSH_USUAL.get() * uniform(watts, INRUSH_LEAST.get() * wash, INRUSH_MOST.get() * wash)
                + (1.0 - INRUSH_USUAL.get())
                    * uniform(watts, INRUSH_LEAST.get() * wash, INRUSH_FIRST_MOST.get() * wash)
        }
        State::PartHeat | State::PartDry => {
            let whole = signatures.heater.map_or(HEATER_AT_LEAST.get(), |h| h.threshold.0);
            // With the pump it must be told from the pump; what is left says no more of the one than of the other.
            let told = state == State::PartDry || watts > PART_HEAT_FROM.get() * wash;
            if told { uniform(watts, PART_DRY_FROM.get() * whole, whole) } else { 0.0 }
        }
        State::Heat | State::DryHeat => {
            let common = COMMON_HEATER.get();
            let dry = signatures.heater.map_or(common, |h| h.dry.0);
            let level =
                if state == State::Heat { signatures.heater.map_or(common, |h| h.level.0) } else { dry };
            // A small pump is lost in what the mains does to the heater: then order and pickups decide whether it runs.
            let usual = normal(watts, level, HEATER_SPREAD.get() * level);
            // The rest gives a part of its heat, or is beside a locked pump.
            let most = (HEAT_MOST.get() * dry).max(dry + INRUSH_MOST.get() * wash);
            HEAT_USUAL.get() * usual + (1.0 - HEAT_USUAL.get()) * uniform(watts, HEAT_LEAST.get() * dry, most)
        }
        // Pumps start above their usual power and change their speed; when worn, they draw less.
        State::Wash => {
            WASH_USUAL.get() * washing(signatures, watts)
                + WASH_ABOVE.get() * uniform(watts, wash, WASH_ABOVE_MOST.get() * wash)
                + WASH_BELOW.get() * uniform(watts, WASH_BELOW_LEAST.get() * wash, wash)
        }
        // A drain pump works against whatever head there is, or against none when it draws air, and may share its time with something small.
        State::Drain => {
            let drain = signatures.drain.0;
            let in_air = if signatures.given { DRAIN_IN_AIR.get() } else { 0.0 };
            DRAIN_USUAL.get() * level(signatures, watts, state)
                + (1.0 - DRAIN_USUAL.get() - in_air) * uniform(watts, drain, DRAIN_ABOVE_MOST.get() * drain)
                + in_air * uniform(watts - signatures.standby.0, DRAIN_IN_AIR_LEAST.get() * drain, drain)
        }
        _ => level(signatures, watts, state),
    };
    // What was averaged over a change lies anywhere below the greater power, whatever runs.
    let density = match segment.change {
        Some(most) => (1.0 - AVERAGED.get()) * density + AVERAGED.get() / most.0.max(1.0),
        None => density,
    };
    (density + ODD_READINGS.get() / ODD_OVER.get()).ln()
}

fn level(signatures: &Signatures, watts: f64, state: State) -> f64 {
    if state == State::Small && signatures.small.is_none() {
        return 0.0;
    }
    let (expected, spread) = expected(signatures, state);
    (1.0 - ODD_READINGS.get()) * normal(watts, expected, spread)
}

/// What is drawn in a state without the heater, and its standard deviation.
fn expected(signatures: &Signatures, state: State) -> (f64, f64) {
    let expected = signatures.without_heater(state).0;
    let spread = match signatures.small {
        Some(small) if state == State::Small => small.spread.0,
        _ => LEVEL_SPREAD.get() * (expected - signatures.standby.0),
    };
    (expected, spread.hypot(signatures.meter.0))
}

/// Whether a segment has the level of a state, and is none of what may be anywhere.
pub(super) fn fits(signatures: &Signatures, segment: &Segment, state: State) -> bool {
    let watts = segment.power.0;
    let near = |(level, spread): (f64, f64)| (watts - level).abs() < AT_ITS_LEVEL.get() * spread;
    let heater = |of: fn(&Heater) -> f64| {
        signatures.heater.as_ref().is_some_and(|h| near((of(h), HEATER_SPREAD.get() * of(h))))
    };
    match state {
        State::Heat => heater(|h| h.level.0),
        State::DryHeat => heater(|h| h.dry.0),
        State::Wash => near(expected(signatures, state)) || between_speeds(signatures, watts) > 0.0,
        State::Small => signatures.small.is_some() && near(expected(signatures, state)),
        State::Inrush | State::PartHeat | State::PartDry | State::DrainAndFill => false,
        _ => near(expected(signatures, state)),
    }
}

/// At its one level, or anywhere between its speeds: no speed is known to be more usual than another.
fn washing(signatures: &Signatures, watts: f64) -> f64 {
    let at_level = level(signatures, watts, State::Wash);
    if signatures.speeds.is_none() {
        return at_level;
    }
    let within = between_speeds(signatures, watts);
    AT_ONE_SPEED.get() * at_level + (1.0 - AT_ONE_SPEED.get()) * (1.0 - ODD_READINGS.get()) * within
}

/// Density between the slowest and the fastest speed of a wash pump.
fn between_speeds(signatures: &Signatures, watts: f64) -> f64 {
    let Some((slow, fast)) = signatures.speeds else { return 0.0 };
    let margin = 1.0 + LEVEL_SPREAD.get();
    let (slow, fast) = (slow.0 / margin, fast.0 * margin);
    let above = watts - signatures.standby.0;
    if (slow..=fast).contains(&above) { 1.0 / (above * (fast / slow).ln()) } else { 0.0 }
}

fn normal(x: f64, mean: f64, deviation: f64) -> f64 {
    let z = (x - mean) / deviation;
    (-0.5 * z * z).exp() / (deviation * (2.0 * std::f64::consts::PI).sqrt())
}

fn uniform(x: f64, low: f64, high: f64) -> f64 {
    if (low..=high).contains(&x) { 1.0 / (high - low) } else { 0.0 }
}

/// What the pickups say of one segment: log-likelihoods, each without the load that it hears and with it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Heard {
    supply: [f64; 2],
    drain: [f64; 2],
    /// Of the wash pump, which is not heard while water runs in the hose.
    pump: [f64; 2],
}

impl Heard {
    /// Log-likelihoods of a segment; none without pickups.
    pub(super) fn of(signatures: &Signatures, segment: &Segment) -> Option<Self> {
        let (flow, detail) = (signatures.flow.as_ref()?, segment.detail?);
        let supply = heard(detail.supply, flow.supply);
        let drain = heard(detail.drain, flow.drain);
        let pump = flow.pump.map(|threshold| heard(detail.drain, threshold));
        Some(Self {
            // An open valve is nearly always heard; a drain pump that runs may well move no water.
            supply: odds(supply, VALVE_IS_HEARD.get(), VALVE_UNHEARD.get()),
            drain: odds(drain, DRAIN_IS_HEARD.get(), DRAIN_UNHEARD.get()),
            pump: pump.map_or([0.0; 2], |pump| odds(pump, PUMP_IS_HEARD.get(), PUMP_UNHEARD.get())),
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

/// Logarithms of the likelihood of a level that is above its threshold with probability `flow`, without the load and with it.
fn odds(flow: f64, heard: f64, unheard: f64) -> [f64; 2] {
    [(1.0 - heard * flow).ln(), (unheard + (1.0 - unheard) * flow).ln()]
}

/// Probability that a level is above a threshold: one half at it, 0.95 at 1.65 times.
fn heard(level: Noise, threshold: Noise) -> f64 {
    let ratio = (level.0.max(SILENCE.get()) / threshold.0).ln();
    1.0 / (1.0 + (-HEARD_STEEPNESS.get() * ratio).exp())
}
