//! Loads: which of them run when, inferred from all channels together.
//!
//! A hidden Markov model over the joint states of a machine. Its levels are learned from the trace itself ([`Levels`]);
//! order and neighbours decide where a level alone does not.

mod began;
mod beside;
mod dispenser;
mod emission;
mod first_look;
mod lattice;
mod learning;
mod levels;
mod observe;
mod order;
mod purge;
mod runs;
mod state;

use tubtrace_units::{Load, Loads, Seconds};

pub use lattice::Lattice;
pub use levels::{Flow, Heater, Levels};
pub use observe::{Observation, observe};
pub(crate) use runs::APART;
pub use state::State;

use self::beside::Joint;
use crate::trace::Trace;

/// A stretch in which one joint state holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Which.
    pub state: State,
    /// Something small that stays on beside it.
    pub beside: Option<Load>,
    /// From the first sample of the log.
    pub start: Seconds,
    /// Likewise.
    pub end: Seconds,
    /// Probability of the state, averaged over the stretch.
    pub certainty: f64,
}

impl Span {
    /// All that runs.
    #[must_use]
    pub fn loads(&self) -> Loads {
        self.beside.map_or(self.state.loads(), |load| self.state.loads().with(load, true))
    }

    /// How long.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end - self.start
    }

    /// Whether `next` begins where this ends: less than a hundredth of a second is rounding, not a gap.
    #[must_use]
    pub fn touches(&self, next: &Self) -> bool {
        next.start.0 - self.end.0 < 0.01
    }

    /// Goes on to the end of `next`; its certainty is the average over both.
    pub(crate) fn go_on(&mut self, next: &Self) {
        let (before, now) = (self.duration().0, next.duration().0);
        self.certainty = (self.certainty * before + next.certainty * now) / (before + now).max(1e-9);
        self.end = next.end;
    }
}

/// What was found in a trace.
#[derive(Clone, Debug)]
pub struct Found {
    /// In order; where one ends before the next starts, nothing is known.
    pub spans: Vec<Span>,
    /// The levels of the machine.
    pub levels: Levels,
    /// Runs, from and to, that draw so many times what the others do: their clamp was another one.
    pub out_of_scale: Vec<(Seconds, Seconds, f64)>,
}

/// Finds the loads in a trace.
#[must_use]
pub fn find(trace: &Trace) -> Found {
    let mut observations = observe(trace);
    let states = if trace.has_pickups() { State::BY_FLOW } else { State::BY_POWER };
    let runs = runs::runs(&observations);
    let scales = runs::scales(trace, &observations, &runs);
    let levels = Levels::learn(trace, &runs::metered(trace, &observations, &runs, &scales), states);
    let mut out_of_scale = Vec::new();
    for (run, scale) in runs.iter().zip(&scales).filter_map(|(run, scale)| Some((run, (*scale)?))) {
        let own = &mut observations[run.clone()];
        own.iter_mut().for_each(|o| o.power = o.power / scale);
        out_of_scale.extend(own.first().zip(own.last()).map(|(a, b)| (a.start, b.end, scale)));
    }
    let (path, _) = levels.path(&observations, states);
    let posterior = levels.posterior(&observations, states);

    let certainty = |state: State, of: &[f64]| of[states.iter().position(|s| *s == state).unwrap_or(0)];
    let mut found: Vec<Joint> = path
        .into_iter()
        .zip(&posterior)
        .map(|(state, of)| Joint { state, beside: None, certainty: certainty(state, of) })
        .collect();
    beside::look(&levels, &observations, states, &runs, &mut found);
    let spans = began::locate(spans(&observations, &found), trace, &levels);
    let mut spans = order::by_order(spans, trace.has_pickups());
    if !trace.has_pickups() {
        spans = purge::split(spans, trace, &levels);
    }
    Found { spans: dispenser::split(spans, trace, &levels), levels, out_of_scale }
}

/// Neighbours that are alike, taken together.
fn spans(observations: &[Observation], found: &[Joint]) -> Vec<Span> {
    let mut spans: Vec<Span> = Vec::new();
    for (observation, &Joint { state, beside, certainty }) in observations.iter().zip(found) {
        let span = Span { state, beside, start: observation.start, end: observation.end, certainty };
        let alike = |last: &Span| last.state == state && last.beside == beside;
        match spans.last_mut() {
            Some(last) if alike(last) && !observation.after_gap => last.go_on(&span),
            _ => spans.push(span),
        }
    }
    spans
}

/// The weighted median of (value, weight).
pub(crate) fn median(values: impl Iterator<Item = (f64, f64)>) -> Option<f64> {
    quantile(values, 0.5)
}

/// The value below which `part` of the weight lies, of (value, weight).
pub(crate) fn quantile(values: impl Iterator<Item = (f64, f64)>, part: f64) -> Option<f64> {
    let mut values: Vec<(f64, f64)> = values.collect();
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let below = values.iter().map(|v| v.1).sum::<f64>() * part;
    let mut passed = 0.0;
    let reaches = |(_, weight): &&(f64, f64)| {
        passed += weight;
        passed >= below
    };
    values.iter().find(reaches).map(|v| v.0)
}
