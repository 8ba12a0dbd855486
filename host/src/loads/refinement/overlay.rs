//! Overlay: a small load that stays on whatever else happens, a vent or a dispenser whose output is stuck. A wash pump hides it; in fills,
//! drains and pauses it adds a few watts. Runs whose fills or drains draw too much are inferred anew, in a model of twice as many
//! states: each without the overlay and with it.

use tubtrace_units::Load;

use super::pass::{Evidence, Pass, Reading};
use crate::loads::chain::Chain;
use crate::loads::constants::steps::{
    OVERLAY_LASTS, OVERLAY_RAISED, OVERLAY_SEGMENTS, OVERLAY_TOGGLE, OVERLAY_TOGGLE_IN_WASH, PLAINLY_HEARD,
};
use crate::loads::emission::{self, Heard};
use crate::loads::hmm::{Hmm, Steps};
use crate::loads::place::Place;
use crate::loads::posterior::Posterior;
use crate::loads::segment::Segment;
use crate::loads::signatures::{Signatures, Small};
use crate::loads::span::Span;
use crate::loads::state::State;
use crate::stats::weighted_median;

pub(super) const PASS: Pass = Pass {
    name: "overlay",
    unknown: "that something small stays on through fills, drains and pauses: its states have no such pair",
    refine: overlay,
};

/// Infers those runs anew in which a small load may stay on.
fn overlay(reading: &mut Reading, evidence: &Evidence) {
    for run in evidence.runs {
        let mut from = run.segments.start;
        // Nothing is inferred across a gap.
        for piece in evidence.segments[run.segments.clone()].chunk_by(|_, next| !next.after_gap) {
            let spans = &mut reading.spans[from..from + piece.len()];
            if is_raised(evidence.levels.at(run.start), piece, spans) {
                infer(evidence, piece, spans);
            }
            from += piece.len();
        }
    }
}

/// Whether fills or drains draw more than their level, or a small load runs between the first and the last wash, or water is heard
/// to come in during drains.
fn is_raised(signatures: &Signatures, segments: &[Segment], path: &[Span]) -> bool {
    let over = |state: State| -> Vec<f64> {
        let own = segments
            .iter()
            .zip(path)
            .filter(|(o, j)| j.state == state && o.duration() >= OVERLAY_LASTS.get());
        own.map(|(o, _)| o.power.0 - signatures.without_heater(state).0).collect()
    };
    let raised = |over: &[f64]| {
        over.len() >= OVERLAY_SEGMENTS.get()
            && weighted_median(over.iter().map(|o| (*o, 1.0))) > Some(OVERLAY_RAISED.get())
    };
    // A small load before the first wash may be the end of the run before.
    let first_wash = path.iter().position(|j| j.state == State::Wash).unwrap_or(0);
    let last_wash = path.iter().rposition(|j| j.state == State::Wash).unwrap_or(0);
    let small = |(o, j): &(&Segment, &Span)| j.state == State::Small && o.duration() >= OVERLAY_LASTS.get();
    let early = segments.iter().zip(path).take(last_wash).skip(first_wash).filter(small).count();
    let misplaced = segments.iter().zip(path).filter(|(o, j)| hears_other(signatures, o, j.state)).count();
    let (fills, drains) = (over(State::Fill), over(State::Drain));
    // What is beside drains and beside no fill does not stay on: it comes with the drain.
    let beside_a_fill = fills.is_empty() || fills.iter().any(|o| *o > OVERLAY_RAISED.get());
    raised(&fills)
        || raised(&drains) && beside_a_fill
        || early >= OVERLAY_SEGMENTS.get()
        || misplaced >= OVERLAY_SEGMENTS.get()
}

/// Whether water is plainly heard to come in during a drain: then it is a fill with an overlay, which draws what a drain does.
fn hears_other(signatures: &Signatures, segment: &Segment, state: State) -> bool {
    let heard = signatures
        .flow
        .zip(segment.detail)
        .is_some_and(|(f, d)| d.supply.0 > PLAINLY_HEARD.get() * f.supply.0);
    heard && state == State::Drain && segment.duration() >= OVERLAY_LASTS.get()
}

/// Infers the states of one piece without a gap anew, with and without the overlay.
fn infer(evidence: &Evidence, segments: &[Segment], path: &mut [Span]) {
    // A small load alone is the state `Off` with the overlay.
    let plain: Vec<State> = evidence.states.iter().copied().filter(|s| *s != State::Small).collect();
    let chain = Chain::of(evidence.states, evidence.trace.resolution);
    let places: Vec<(usize, bool)> = [false, true]
        .iter()
        .flat_map(|&small| (0..chain.places.len()).map(move |p| (p, small)))
        .filter(|(p, _)| chain.places[*p] != Place::Small)
        .collect();
    let both: Vec<(State, bool)> = places.iter().map(|&(p, b)| (chain.places[p].state(), b)).collect();
    let small_alone = chain.places.iter().position(|p| *p == Place::Small).unwrap_or(0);
    let begins = |&(p, small): &(usize, bool)| match chain.places[p].state() {
        State::Off if small => chain.initial[small_alone],
        _ if small => chain.initial[p] - OVERLAY_TOGGLE.get(),
        _ => chain.initial[p],
    };
    let initial: Vec<f64> = places.iter().map(begins).collect();
    let row = |from: &(usize, bool)| {
        let to = places.iter().enumerate();
        (to.map(|(at, to)| (at, log_probability(&chain, *from, *to))).collect(), f64::NEG_INFINITY)
    };
    let steps = Steps::new(places.iter().map(row).collect());
    let mut emissions = Vec::with_capacity(segments.len() * places.len());
    // What sticks is small, whether or not the machine is known to have a load that runs alone and is.
    let known = evidence.levels.at(segments[0].start);
    let signatures = &Signatures { small: known.small.or_else(|| Some(Small::common())), ..*known };
    for o in segments {
        let heard = Heard::of(signatures, o);
        let of = |&(state, small): &(State, bool)| {
            emission::with_overlay(signatures, o, heard.as_ref(), state, small)
        };
        let of_states: Vec<f64> =
            [false, true].iter().flat_map(|&b| plain.iter().map(move |&s| (s, b))).map(|s| of(&s)).collect();
        for (&(p, small), &(state, _)) in places.iter().zip(&both) {
            let at =
                plain.iter().position(|s| *s == state).unwrap_or(0) + if small { plain.len() } else { 0 };
            emissions.push(of_states[at] - o.duration().0 / chain.places[p].dwell().0);
        }
    }
    let hmm = Hmm { initial: &initial, steps: &steps, emissions: &emissions };
    let (posterior, _) = hmm.posterior();
    let probability = |of: &[f64], wanted: (State, bool)| -> f64 {
        of.iter().zip(&both).filter(|(_, b)| **b == wanted).map(|(p, _)| p).sum()
    };
    let most_probable = |of: &[f64]| {
        let of_all = both.iter().map(|&b| (b, probability(of, b)));
        of_all.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or(((State::Off, false), 0.0))
    };
    let probable: Vec<((State, bool), f64)> = posterior.chunks_exact(both.len()).map(most_probable).collect();
    let found: Vec<(State, bool)> = probable.iter().map(|p| p.0).collect();
    let last_wash = found.iter().rposition(|(s, _)| *s == State::Wash).unwrap_or(0);
    let began_in_wash = |at: usize| {
        let start = (0..=at).rev().take_while(|&i| found[i].1).last().unwrap_or(at);
        start.checked_sub(1).is_some_and(|before| matches!(found[before].0, State::Wash | State::Heat))
    };
    // An overlay that neither begins nor goes on in another state, or that follows the last wash, is a vent as the programme has
    // it. One that goes on through a fill or a drain is stuck.
    let alone = |at: usize| {
        let beside = |i: usize| found[i].1 && found[i].0 != State::Off;
        let before = (0..at).rev().take_while(|&i| found[i].1).any(beside);
        let after = (at..found.len()).take_while(|&i| found[i].1).any(beside);
        at > last_wash || !(before || after)
    };
    for (i, span) in path.iter_mut().enumerate() {
        let (state, small) = found[i];
        let is_alone = state == State::Off && small && alone(i);
        (span.state, span.overlay) = if is_alone {
            (State::Small, None)
        } else {
            let load = if began_in_wash(i) { Load::Dispenser } else { Load::Vent };
            (state, small.then_some(load))
        };
        // What runs alone is a state of its own.
        let of = |&(state, small): &(State, bool)| {
            if is_alone && small && state == State::Off { State::Small } else { state }
        };
        span.states = Posterior::new(both.iter().map(of).zip(posterior[i * both.len()..].iter().copied()));
        span.beside =
            if is_alone { 1.0 } else { probable[i].1 / span.states.of(state).max(f64::MIN_POSITIVE) };
    }
}

/// Log-probability of a step between two states, each with the overlay or without: that between the states, less the cost of a change
/// of the overlay.
fn log_probability(chain: &Chain, (a, small): (usize, bool), (b, still): (usize, bool)) -> f64 {
    let place_of = |place: Place| chain.places.iter().position(|p| *p == place).unwrap_or(0);
    let (from, to) = (chain.places[a], chain.places[b]);
    let step = |a: usize, b: usize| if a == b { 0.0 } else { chain.steps.log_probability(a, b) };
    match (small, still) {
        (false, false) | (true, true) => step(a, b),
        (false, true) if from.state() == State::Wash && a == b => -OVERLAY_TOGGLE_IN_WASH.get(),
        (false, true) if to.state() == State::Off => step(a, place_of(Place::Small)),
        (true, false) if from.state() == State::Off => step(place_of(Place::Small), b),
        _ => step(a, b) - OVERLAY_TOGGLE.get(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::ScaledTrace;
    use crate::loads::by_hand::{DRAIN, FILL, STANDBY, WASH, pass, trace};

    /// Fills and drains of five waters after the pass, in each of which something of so many watts is on.
    fn waters(vent: f64) -> Vec<Span> {
        let water =
            [(State::Fill, 60, FILL + vent), (State::Wash, 300, WASH), (State::Drain, 60, DRAIN + vent)];
        let plan =
            [[(State::Off, 60, vent)].as_slice(), &water.repeat(5), &[(State::Off, 60, vent)]].concat();
        let readings: Vec<(u32, f64)> =
            plan.iter().map(|&(_, seconds, watts)| (seconds, STANDBY + watts)).collect();
        let seconds: Vec<State> =
            plan.iter().flat_map(|&(state, seconds, _)| (0..seconds).map(move |_| state)).collect();
        let trace = trace(&readings);
        let span = |o: &Segment| {
            let state = seconds[o.start.0 as usize];
            Span {
                state,
                overlay: None,
                start: o.start,
                end: o.end,
                states: Posterior::sure(state),
                beside: 1.0,
            }
        };
        let model = ScaledTrace::of(&trace).segments.iter().map(span).collect();
        let spans = pass("overlay", model, &trace).spans;
        spans.into_iter().filter(|s| matches!(s.state, State::Fill | State::Drain)).collect()
    }

    #[test]
    fn a_vent_that_stays_on_through_fills_and_drains_is_beside_them() {
        let water = waters(8.0);
        assert!(water.len() >= 10 && water.iter().all(|s| s.overlay == Some(Load::Vent)), "{water:?}");
    }

    #[test]
    fn nothing_is_beside_fills_and_drains_at_their_level() {
        let water = waters(0.0);
        assert!(water.len() >= 10 && water.iter().all(|s| s.overlay.is_none()), "{water:?}");
    }
}
