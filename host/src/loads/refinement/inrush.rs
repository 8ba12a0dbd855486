//! Inrush: a motor that starts draws several times its current for a moment.

use super::join::push;
use super::pass::{Evidence, Pass, Reading};
use crate::loads::span::Span;
use crate::loads::state::State;

pub(super) const PASS: Pass = Pass {
    name: "inrush",
    unknown: "that the pump ran on after it: what starts and what stalls draw the same at first",
    refine: inrush,
};

/// Makes washing of inrush before washing or heat, and after washing.
fn inrush(reading: &mut Reading, _: &Evidence) {
    let spans = &reading.spans;
    let mut tidied: Vec<Span> = Vec::with_capacity(spans.len());
    for (i, span) in spans.iter().enumerate() {
        let runs = |s: &Span| matches!(s.state, State::Wash | State::Heat);
        let before = tidied.last().is_some_and(|b| b.touches(span) && b.state == State::Wash);
        let after = spans.get(i + 1).is_some_and(|a| span.touches(a) && runs(a));
        let starts = span.state == State::Inrush && (before || after);
        push(&mut tidied, if starts { span.is_really(State::Wash) } else { *span });
    }
    reading.spans = tidied;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{pass, spans, told, trace};

    #[test]
    fn inrush_is_part_of_the_wash_that_it_starts() {
        let model = spans(&[(State::Fill, 60.0), (State::Inrush, 2.0), (State::Wash, 60.0)]);
        let joined = pass("inrush", model, &trace(&[(122, 100.0)])).spans;
        assert_eq!(told(&joined), [(State::Fill, 60.0), (State::Wash, 62.0)]);
    }

    #[test]
    fn a_pump_that_did_not_run_after_it_has_stalled() {
        let model = spans(&[(State::Fill, 60.0), (State::Inrush, 4.0), (State::Off, 60.0)]);
        assert_eq!(pass("inrush", model.clone(), &trace(&[(124, 100.0)])).spans, model);
    }
}
