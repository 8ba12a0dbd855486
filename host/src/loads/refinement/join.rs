//! Segments into spans: what is alike and follows without a gap is one.

use super::pass::{Evidence, Pass, Reading};
use crate::loads::span::Span;

pub(super) const PASS: Pass = Pass {
    name: "join",
    unknown: "that a load runs on from one segment to the next: the model gives a state for each",
    refine: |reading: &mut Reading, _: &Evidence| {
        let mut joined = Vec::new();
        reading.spans.iter().for_each(|span| push(&mut joined, *span));
        reading.spans = joined;
    },
};

/// Joins `span` to the last of `spans` where they touch and are alike, else appends it.
pub(super) fn push(spans: &mut Vec<Span>, span: Span) {
    match spans.last_mut() {
        Some(last) if last.state == span.state && last.overlay == span.overlay && last.touches(&span) => {
            last.extend_over(&span);
        }
        _ => spans.push(span),
    }
}

#[cfg(test)]
mod tests {
    use crate::loads::State;
    use crate::loads::by_hand::{pass, spans, told, trace};

    #[test]
    fn alike_segments_are_one_span_of_their_average_certainty() {
        let mut model = spans(&[(State::Wash, 60.0), (State::Wash, 30.0), (State::Drain, 60.0)]);
        (model[0].beside, model[1].beside) = (0.9, 0.6);
        let joined = pass("join", model, &trace(&[(150, 100.0)])).spans;
        assert_eq!(told(&joined), [(State::Wash, 90.0), (State::Drain, 60.0)]);
        assert!((joined[0].certainty() - 0.8).abs() < 1e-9, "{joined:?}");
    }

    #[test]
    fn a_gap_parts_what_is_alike() {
        let mut model = spans(&[(State::Wash, 60.0), (State::Wash, 60.0)]);
        model[1].start.0 += 10.0;
        assert_eq!(pass("join", model, &trace(&[(120, 100.0)])).spans.len(), 2);
    }
}
