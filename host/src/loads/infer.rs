//! The loads of a trace, from what each of them draws to spans that passes have corrected.

use tubtrace_units::Seconds;

use super::draws::Draws;
use super::learning::{Hypothesis, Model, hypotheses, steady};
use super::levels::Levels;
use super::posterior::Posterior;
use super::refinement::{Evidence, Reading, UnseenRun, refine};
use super::runs::{Run, ScaledTrace};
use super::segment::Segment;
use super::span::Span;
use super::state::State;
use super::{given, initial};

/// A hypothesis less probable than this changes no certainty that is shown.
const NEGLIGIBLE: f64 = 1e-4;

/// The loads of a trace.
#[derive(Clone, Debug)]
pub struct Inferred {
    /// Spans in order of time, as they are shown; where one ends before the next starts, nothing is known.
    pub spans: Vec<Span>,
    /// Runs of which only the water was heard, each as its fills.
    pub unseen: Vec<UnseenRun>,
    /// What each load of this machine draws, and what its pickups hear, from run to run.
    pub levels: Levels,
    /// Idle time in an empty tub after which another run begins.
    pub apart: Seconds,
}

/// Infers the loads of a trace: learns what each of them draws, decodes the most likely states, and corrects what the model cannot know.
#[must_use]
pub fn infer(scaled: &ScaledTrace) -> Inferred {
    infer_known(scaled, &Draws::default())
}

/// Likewise for a machine of which it is known what the loads draw: then each run is inferred by itself, and only where that does not
/// explain it is it learned from the run.
#[must_use]
pub fn infer_known(scaled: &ScaledTrace, known: &Draws) -> Inferred {
    infer_watched(scaled, known, |_, _| {})
}

/// Likewise; `watch` is shown the spans of the model, under its name, and what each pass has made of them, under that of the pass.
#[must_use]
pub fn infer_watched(
    scaled: &ScaledTrace,
    known: &Draws,
    mut watch: impl FnMut(&'static str, &[Span]),
) -> Inferred {
    let trace = &*scaled.trace;
    let states = match trace.has_pickups() {
        true => State::BY_FLOW,
        false if known.tell_loads() => State::BY_KNOWN_POWER,
        false => State::BY_POWER,
    };
    let metered = scaled.metered();
    let (spans, levels) = if known.tell_loads() {
        let flow = initial::flow(trace, steady(&metered).as_deref().unwrap_or(&metered));
        // Until the machine was idle once, nobody knows how loud silence is.
        let flow = flow.filter(|_| initial::idle(&metered).is_some());
        let of = |run: &Run| {
            let segments = &scaled.segments[run.segments.clone()];
            let (hypotheses, levels) = given::hypotheses(known, trace, (segments, run.metered), flow, states);
            (decode(&hypotheses, segments, states, trace.resolution), run.start, levels)
        };
        let mut all = scaled.runs.iter().map(of);
        let (spans, _, first) = all.next().expect("a trace has a run, be it idle");
        all.fold((spans, Levels::all(first)), |(mut spans, levels), (own, start, signatures)| {
            spans.extend(own);
            (spans, levels.then(start, Levels::all(signatures)))
        })
    } else {
        let hypotheses = hypotheses(trace, &metered, states);
        let spans = decode(&hypotheses, &scaled.segments, states, trace.resolution);
        (spans, Levels::all(hypotheses[0].signatures))
    };
    let apart = known.apart();
    watch("model", &spans);
    let mut reading = Reading { spans, unseen: Vec::new() };
    let evidence = Evidence {
        trace,
        segments: &scaled.segments,
        runs: &scaled.runs,
        levels: &levels,
        known: known.tell_loads(),
        apart,
        states,
    };
    refine(&mut reading, &evidence, watch);
    Inferred { spans: reading.spans, unseen: reading.unseen, levels, apart }
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
        let state = most.map_or(State::Off, |(s, _)| states[s]);
        Span {
            state,
            overlay: None,
            start: segment.start,
            end: segment.end,
            states: Posterior::new(states.iter().copied().zip(of.iter().copied())),
            beside: 1.0,
        }
    };
    segments.iter().zip(posterior.chunks_exact(states.len())).map(span).collect()
}
