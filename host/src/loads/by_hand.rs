//! Traces, levels and spans written by hand, for the tests of this stage.

use tubtrace_units::{Amps, Seconds, Volts, Watts};

use super::constants::runs::RUNS_APART;
use super::levels::Levels;
use super::posterior::Posterior;
use super::refinement::{Evidence, PASSES, Reading};
use super::runs::ScaledTrace;
use super::signatures::{Heater, Signatures, Small};
use super::span::Span;
use super::state::State;
use crate::trace::{Detail, HeardFill, Meter, Noise, Nominal, Step, Trace};

/// Power of the machine by hand with everything off, and what each load of it adds, in watts.
pub const STANDBY: f64 = 2.0;
pub const FILL: f64 = 12.0;
pub const DRAIN: f64 = 33.0;
pub const WASH: f64 = 100.0;

/// Signatures of a machine of which the above holds.
pub fn signatures() -> Signatures {
    let heater = Heater { level: Watts(1_800.0), dry: Watts(1_800.0 - WASH), threshold: Watts(900.0) };
    Signatures {
        meter: Watts(1.2),
        standby: Watts(STANDBY),
        fill: Watts(FILL),
        drain: Watts(DRAIN),
        wash: Watts(WASH),
        speeds: None,
        given: true,
        small: Some(Small::common()),
        heater: Some(heater),
        flow: None,
    }
}

/// A reading a second, as (for how many seconds, watts), one after another; a clamp's, without pickups.
pub fn trace(readings: &[(u32, f64)]) -> Trace {
    let watts = readings.iter().flat_map(|&(seconds, watts)| (0..seconds).map(move |_| watts));
    let second = |(at, watts): (usize, f64)| Step {
        start: Seconds(at as f64),
        end: Seconds(at as f64 + 1.0),
        power: Watts(watts),
        detail: None,
    };
    Trace {
        steps: watts.enumerate().map(second).collect(),
        temperatures: Vec::new(),
        fills: Vec::new(),
        clipped: Vec::new(),
        lost: Vec::new(),
        damaged: Vec::new(),
        marks: Vec::new(),
        health: Vec::new(),
        bursts: Vec::new(),
        clock: None,
        meter: Meter::Current,
        nominal: Nominal { volts: Volts(230.0), assumed: false },
        label: String::new(),
        resolution: Seconds(1.0),
        battery_ended: false,
    }
}

/// The same as a logger with pickups has it, which heard fills from and to.
pub fn heard(readings: &[(u32, f64)], fills: &[(f64, f64)]) -> Trace {
    let quiet = Detail { fundamental: Amps(0.0), third: Amps(0.0), supply: Noise(1.0), drain: Noise(1.0) };
    let mut trace = trace(readings);
    trace.steps = trace.steps.iter().map(|step| Step { detail: Some(quiet), ..step }).collect();
    let fill =
        |&(from, to): &(f64, f64)| HeardFill { start: Seconds(from), end: Seconds(to), level: Noise(40.0) };
    trace.fills = fills.iter().map(fill).collect();
    trace
}

/// Spans one after another, as (state, for how many seconds), of which the model is sure.
pub fn spans(states: &[(State, f64)]) -> Vec<Span> {
    let mut at = 0.0;
    let span = |&(state, lasts): &(State, f64)| {
        let start = at;
        at += lasts;
        Span {
            state,
            overlay: None,
            start: Seconds(start),
            end: Seconds(at),
            states: Posterior::sure(state),
            beside: 1.0,
        }
    };
    states.iter().map(span).collect()
}

/// States of spans and how long each lasts, in whole seconds.
pub fn told(spans: &[Span]) -> Vec<(State, f64)> {
    spans.iter().map(|s| (s.state, s.duration().0.round())).collect()
}

/// What the pass of this name, and no other, makes of spans.
pub fn pass(name: &str, spans: Vec<Span>, trace: &Trace) -> Reading {
    pass_of(name, spans, trace, signatures())
}

/// Likewise of a machine with these signatures.
pub fn pass_of(name: &str, spans: Vec<Span>, trace: &Trace, signatures: Signatures) -> Reading {
    let scaled = ScaledTrace::of(trace);
    let states = if trace.has_pickups() { State::BY_FLOW } else { State::BY_POWER };
    let known = signatures.given;
    let (levels, mut reading) = (Levels::all(signatures), Reading { spans, unseen: Vec::new() });
    let evidence = Evidence {
        trace,
        segments: &scaled.segments,
        runs: &scaled.runs,
        levels: &levels,
        known,
        apart: RUNS_APART.get(),
        states,
    };
    let pass = PASSES.iter().find(|pass| pass.name == name).expect("it is in the list of passes");
    (pass.refine)(&mut reading, &evidence);
    reading
}
