//! Something small that stays on beside everything else: a vent or a dispenser whose output is stuck. A wash pump hides it; in
//! fills, drains and pauses it is plain. Looked for only in runs that look like it, in a model of twice as many states: each
//! of the others without it and with it.

use std::ops::Range;

use tubtrace_units::{Load, Seconds};

use super::emission::{self, Heard};
use super::lattice::Lattice;
use super::levels::Levels;
use super::observe::Observation;
use super::state::State;

/// A state, and whether something small runs beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Joint {
    pub state: State,
    pub beside: Option<Load>,
    /// Probability of the two together.
    pub certainty: f64,
}

/// What it costs that something small goes on or off beside what goes on.
const TOGGLE: f64 = 9.0;

/// The same in washing, where a dispenser belongs.
const TOGGLE_IN_WASH: f64 = 8.0;

/// Fills and drains of a run draw so much more than those of the others, in watts, where something stays on.
const RAISED: f64 = 3.0;

/// And so many observations say it.
const SEVERAL: usize = 4;

/// An observation that lasts.
const LASTS: Seconds = Seconds(8.0);

/// Looks at each run, and infers those anew in which something small may stay on.
pub(super) fn look(
    levels: &Levels,
    observations: &[Observation],
    states: &[State],
    runs: &[Range<usize>],
    path: &mut [Joint],
) {
    for run in runs {
        let mut from = run.start;
        // Nothing is inferred across a gap.
        for piece in observations[run.clone()].chunk_by(|_, next| !next.after_gap) {
            let to = from + piece.len();
            if is_raised(levels, piece, &path[from..to]) {
                infer(levels, piece, states, &mut path[from..to]);
            }
            from = to;
        }
    }
}

/// Whether fills and drains draw more than they should, or something small runs before the last wash.
fn is_raised(levels: &Levels, observations: &[Observation], path: &[Joint]) -> bool {
    let over = |state: State| -> Vec<f64> {
        let own = observations.iter().zip(path).filter(|(o, j)| j.state == state && o.duration() >= LASTS);
        own.map(|(o, _)| o.power.0 - levels.of(state).0).collect()
    };
    let raised =
        |over: &[f64]| over.len() >= SEVERAL && super::median(over.iter().map(|o| (*o, 1.0))) > Some(RAISED);
    // Before the first wash there may be the end of the run before.
    let first_wash = path.iter().position(|j| j.state == State::Wash).unwrap_or(0);
    let last_wash = path.iter().rposition(|j| j.state == State::Wash).unwrap_or(0);
    let small = |(o, j): &(&Observation, &Joint)| j.state == State::Small && o.duration() >= LASTS;
    let early = observations.iter().zip(path).take(last_wash).skip(first_wash).filter(small).count();
    let misplaced = observations.iter().zip(path).filter(|(o, j)| hears_other(levels, o, j.state)).count();
    raised(&over(State::Fill)) || raised(&over(State::Drain)) || early >= SEVERAL || misplaced >= SEVERAL
}

/// Whether water is plainly heard to come in a state in which it does not: a fill that draws what a drain does.
fn hears_other(levels: &Levels, observation: &Observation, state: State) -> bool {
    let heard = levels.flow.zip(observation.detail).is_some_and(|(f, d)| d.supply.0 > 2.0 * f.supply.0);
    heard && state == State::Drain && observation.duration() >= LASTS
}

fn infer(levels: &Levels, observations: &[Observation], states: &[State], path: &mut [Joint]) {
    // What is small alone is nothing with it beside.
    let plain: Vec<State> = states.iter().copied().filter(|s| *s != State::Small).collect();
    let both: Vec<(State, bool)> =
        [false, true].iter().flat_map(|&b| plain.iter().map(move |&s| (s, b))).collect();
    let initial: Vec<f64> = both.iter().map(|&(s, b)| s.at_first() - if b { TOGGLE } else { 0.0 }).collect();
    let transition: Vec<Vec<f64>> =
        both.iter().map(|&from| both.iter().map(|&to| log_probability(from, to)).collect()).collect();
    let likelihood = |o: &Observation| -> Vec<f64> {
        let heard = Heard::of(levels, o);
        both.iter().map(|&(s, b)| emission::beside(levels, o, heard.as_ref(), s, b)).collect()
    };
    let emissions: Vec<Vec<f64>> = observations.iter().map(likelihood).collect();
    let lattice = Lattice { initial: &initial, transition: &transition, emissions: &emissions };
    let (best, _) = lattice.best_path();
    let posterior = lattice.posterior();

    let found: Vec<(State, bool)> = best.iter().map(|&s| both[s]).collect();
    let last_wash = found.iter().rposition(|(s, _)| *s == State::Wash).unwrap_or(0);
    let began_in_wash = |at: usize| {
        let start = (0..=at).rev().take_while(|&i| found[i].1).last().unwrap_or(at);
        start.checked_sub(1).is_some_and(|before| matches!(found[before].0, State::Wash | State::Heat))
    };
    // What is small and alone from something off to something off is a vent as the programme has it, and so is what follows
    // the last wash; what goes on through a fill or a drain is a pause in which it stays on.
    let alone = |at: usize| {
        let beside = |i: usize| found[i].1 && found[i].0 != State::Off;
        let before = (0..at).rev().take_while(|&i| found[i].1).any(beside);
        let after = (at..found.len()).take_while(|&i| found[i].1).any(beside);
        at > last_wash || !(before || after)
    };
    for (i, joint) in path.iter_mut().enumerate() {
        let (state, small) = found[i];
        let certainty = posterior[i][best[i]];
        *joint = if state == State::Off && small && alone(i) {
            Joint { state: State::Small, beside: None, certainty }
        } else {
            let load = if began_in_wash(i) { Load::Dispenser } else { Load::Vent };
            Joint { state, beside: small.then_some(load), certainty }
        };
    }
}

/// As between plain states; with something beside, nothing is what is small alone.
fn log_probability((a, small): (State, bool), (b, still): (State, bool)) -> f64 {
    match (small, still) {
        (false, false) | (true, true) => a.to(b),
        (false, true) if (a, b) == (State::Wash, State::Wash) => -TOGGLE_IN_WASH,
        (false, true) if b == State::Off => a.to(State::Small),
        (true, false) if a == State::Off => State::Small.to(b),
        _ => a.to(b) - TOGGLE,
    }
}
