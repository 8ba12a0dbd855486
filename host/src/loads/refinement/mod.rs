//! Refinement: what the hidden Markov model cannot know, one pass for each thing.
//!
//! The model sees one segment of steady readings after another and knows the order of states only from one to the next. What a
//! whole run says, what is smaller than the spread of a level, and what readings averaged over a change look like is corrected
//! here, in the order of [`PASSES`].

mod dispenser;
mod drain_pulses;
mod inrush;
mod join;
mod long_drain;
mod onset;
mod order;
mod overlay;
mod part_heat;
mod pass;
mod purge;
mod seconds;
mod transitions;
mod unseen;

pub use pass::{Evidence, Pass, Reading, UnseenRun};

use super::span::Span;

/// All passes, in the order in which they run.
///
/// - `overlay` comes first: it infers some segments anew, and only there is one span one segment.
/// - `join` makes spans of segments, which all others take.
/// - `onset`, `purge` and `dispenser` look for a step within a span of washing, so before anything is joined to one.
/// - `part-heat`, `transitions`, `inrush` take away what is no state of the machine, each from what the one before leaves whole: a
///   change of speed that is no heat is washing, and then the inrush before it touches washing.
/// - `drain-pulses` joins drains over what is short, so after what is short for another reason is gone.
/// - `long-drain` asks how long a whole drain lasts, so after its pulses are joined.
/// - `order` looks at the place of a span in its run, so after all that changes spans.
/// - `unseen` asks which fills drew something, so after what is small has its name.
pub const PASSES: [Pass; 12] = [
    overlay::PASS,
    join::PASS,
    onset::PASS,
    purge::PASS,
    dispenser::PASS,
    part_heat::PASS,
    transitions::PASS,
    inrush::PASS,
    drain_pulses::PASS,
    long_drain::PASS,
    order::PASS,
    unseen::PASS,
];

/// Runs all passes; `watch` is shown what each has made of the spans.
pub(super) fn refine(
    reading: &mut Reading,
    evidence: &Evidence,
    mut watch: impl FnMut(&'static str, &[Span]),
) {
    for pass in &PASSES {
        (pass.refine)(reading, evidence);
        watch(pass.name, &reading.spans);
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::loads::by_hand::{signatures, spans, told, trace};
    use crate::loads::constants::runs::RUNS_APART;
    use crate::loads::{Levels, ScaledTrace, State};

    #[test]
    fn each_pass_has_a_name_of_its_own_and_says_what_the_model_cannot_know() {
        let names: BTreeSet<&str> = PASSES.iter().map(|pass| pass.name).collect();
        let unknown: BTreeSet<&str> = PASSES.iter().map(|pass| pass.unknown).collect();
        assert_eq!((names.len(), unknown.len()), (PASSES.len(), PASSES.len()));
    }

    /// The pump draws its inrush, then changes its speed, then runs: inrush ends at washing only once the change is washing.
    #[test]
    fn a_change_of_speed_is_washing_before_the_inrush_is() {
        let model = spans(&[
            (State::Fill, 60.0),
            (State::Inrush, 2.0),
            (State::PartHeat, 5.0),
            (State::Wash, 300.0),
            (State::Drain, 60.0),
        ]);
        let trace = trace(&[(427, 100.0)]);
        let scaled = ScaledTrace::of(&trace);
        let (levels, mut reading) = (Levels::all(signatures()), Reading { spans: model, unseen: Vec::new() });
        let evidence = Evidence {
            trace: &trace,
            segments: &scaled.segments,
            runs: &[],
            levels: &levels,
            known: true,
            apart: RUNS_APART.get(),
            states: State::BY_POWER,
        };
        refine(&mut reading, &evidence, |_, _| {});
        assert_eq!(told(&reading.spans), [(State::Fill, 60.0), (State::Wash, 307.0), (State::Drain, 60.0)]);
    }
}
