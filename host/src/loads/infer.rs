//! The loads of a trace, from what each of them draws to spans that passes have corrected.

use super::refinement::{Evidence, Reading, UnseenRun, refine};
use super::runs::ScaledTrace;
use super::segment::Segment;
use super::signatures::Signatures;
use super::span::Span;
use super::state::State;

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
    let probability = |of: &[f64], is: &dyn Fn(State) -> bool| -> f64 {
        states.iter().zip(of).filter(|(s, _)| is(**s)).map(|(_, p)| p).sum()
    };
    let span = |((segment, state), of): ((&Segment, State), &Vec<f64>)| Span {
        state,
        overlay: None,
        start: segment.start,
        end: segment.end,
        certainty: probability(of, &|s| s == state),
        heats: probability(of, &State::heats),
    };
    segments.iter().zip(path).zip(&posterior).map(span).collect()
}
