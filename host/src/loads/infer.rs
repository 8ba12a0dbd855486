//! The loads of a trace, from what each of them draws to spans that passes have corrected.

use tubtrace_units::Seconds;

use super::learning::{Hypothesis, Model, hypotheses};
use super::refinement::{Evidence, Reading, UnseenRun, refine};
use super::runs::ScaledTrace;
use super::segment::Segment;
use super::signatures::Signatures;
use super::span::Span;
use super::state::State;

/// A hypothesis less probable than this changes no certainty that is shown.
const NEGLIGIBLE: f64 = 1e-4;

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
    let hypotheses = hypotheses(trace, &scaled.metered(), states);
    let signatures = hypotheses[0].signatures;
    let spans = decode(&hypotheses, &scaled.segments, states, trace.resolution);
    let mut reading = Reading { spans, unseen: Vec::new() };
    refine(
        &mut reading,
        &Evidence { trace, segments: &scaled.segments, runs: &scaled.runs, signatures: &signatures, states },
    );
    Inferred { spans: reading.spans, unseen: reading.unseen, signatures }
}

/// For each segment the state that is most probable under all hypotheses together, with its probability.
fn decode(
    hypotheses: &[Hypothesis],
    segments: &[Segment],
    states: &[State],
    resolution: Seconds,
) -> Vec<Span> {
    let mut model = Model::new(segments, states, resolution);
    let mut posterior = vec![0.0; segments.len() * states.len()];
    for hypothesis in hypotheses.iter().filter(|h| h.probability > NEGLIGIBLE) {
        model.add_posterior(&hypothesis.signatures, hypothesis.probability, &mut posterior);
    }
    let span = |(segment, of): (&Segment, &[f64])| {
        let most = of.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
        let (state, certainty) = most.map_or((State::Off, 0.0), |(s, p)| (states[s], p));
        let heats: f64 = states.iter().zip(of).filter(|(s, _)| s.heats()).map(|(_, p)| p).sum();
        Span {
            state,
            overlay: None,
            start: segment.start,
            end: segment.end,
            certainty: certainty.min(1.0),
            heats: heats.min(1.0),
        }
    };
    segments.iter().zip(posterior.chunks_exact(states.len())).map(span).collect()
}
