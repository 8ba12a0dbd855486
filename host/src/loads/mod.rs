//! Loads: which of them run when, inferred from all channels together.
//!
//! 1. The readings are grouped into segments of steady power and noise (`segment.rs`).
//! 2. The segments are split into runs of the machine, and runs of another clamp are brought to the scale of the others (`runs.rs`).
//! 3. What each load of this machine draws is learned from the trace itself ([`Signatures`], `learning.rs`).
//! 4. A hidden Markov model over the joint states of the loads gives the most likely state of each segment (`hmm.rs`, `emission.rs`).
//! 5. What the model cannot know is corrected by a list of passes (`refinement`).

#[cfg(test)]
mod by_hand;
pub(crate) mod constants;
mod emission;
mod hmm;
mod initial;
mod learning;
pub(crate) mod programmes;
mod refinement;
mod runs;
mod segment;
mod signatures;
mod state;

use tubtrace_units::{Load, Loads, Seconds};

pub use hmm::Hmm;
pub use refinement::{Evidence, PASSES, Pass, Reading, UnseenRun};
pub use runs::{Run, ScaledTrace};
pub use segment::{Segment, steady_segments};
pub use signatures::{Flow, Heater, Signatures};
pub use state::State;

use self::constants::runs::ROUNDING;
use self::refinement::refine;

/// A stretch in which one joint state holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// The loads that a control switches together.
    pub state: State,
    /// A small load that stays on whatever the state is.
    pub overlay: Option<Load>,
    /// When it starts, from the first sample of the log.
    pub start: Seconds,
    /// When it ends, from the first sample of the log.
    pub end: Seconds,
    /// Probability of the state between 0 and 1, averaged over the stretch; order and shape may lower it.
    pub certainty: f64,
}

impl Span {
    /// All loads that run, the overlay among them.
    #[must_use]
    pub fn loads(&self) -> Loads {
        self.overlay.map_or(self.state.loads(), |load| self.state.loads().with(load, true))
    }

    /// Time from its start to its end.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end - self.start
    }

    /// Whether `next` begins where this ends: less than a hundredth of a second is rounding, not a gap.
    #[must_use]
    pub fn touches(&self, next: &Self) -> bool {
        next.start.0 - self.end.0 <= ROUNDING.get()
    }

    /// Extends this span to the end of `next`. Its certainty becomes the average of both, weighted by their durations.
    pub(crate) fn extend_over(&mut self, next: &Self) {
        let (before, now) = (self.duration().0, next.duration().0);
        self.certainty = (self.certainty * before + next.certainty * now) / (before + now).max(1e-9);
        self.end = next.end;
    }
}

/// The loads of a trace.
#[derive(Clone, Debug)]
pub struct Inferred {
    /// Spans in order of time, as they are shown; where one ends before the next starts, nothing is known.
    pub spans: Vec<Span>,
    /// Runs of which only the water was heard, each as its fills.
    pub unseen: Vec<UnseenRun>,
    /// What each load of this machine draws, and what its pickups hear.
    pub signatures: Signatures,
}

/// Infers the loads of a trace: learns what each of them draws, decodes the most likely states, and corrects what the model cannot know.
#[must_use]
pub fn infer(scaled: &ScaledTrace) -> Inferred {
    let trace = &*scaled.trace;
    let states = if trace.has_pickups() { State::BY_FLOW } else { State::BY_POWER };
    let signatures = Signatures::learn(trace, &scaled.metered(), states);
    let spans = decode(&signatures, &scaled.segments, states);
    let mut reading = Reading { spans, unseen: Vec::new() };
    refine(
        &mut reading,
        &Evidence { trace, segments: &scaled.segments, runs: &scaled.runs, signatures: &signatures, states },
    );
    Inferred { spans: reading.spans, unseen: reading.unseen, signatures }
}

/// The most likely state of each segment.
fn decode(signatures: &Signatures, segments: &[Segment], states: &[State]) -> Vec<Span> {
    let (path, _) = signatures.path(segments, states);
    let posterior = signatures.posterior(segments, states);
    let certainty = |state: State, of: &[f64]| of[states.iter().position(|s| *s == state).unwrap_or(0)];
    let span = |((segment, state), of): ((&Segment, State), &Vec<f64>)| Span {
        state,
        overlay: None,
        start: segment.start,
        end: segment.end,
        certainty: certainty(state, of),
    };
    segments.iter().zip(path).zip(&posterior).map(span).collect()
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
