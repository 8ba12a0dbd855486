//! Transitions: readings that were averaged over a change of state.

use tubtrace_units::Seconds;

use super::join::push;
use super::pass::{Evidence, Pass, Reading};
use crate::loads::constants::order::{IN_CHANGE, STRAY, STRAY_CERTAINTY, STRAY_LASTS};
use crate::loads::span::Span;
use crate::loads::state::State;

pub(super) const PASS: Pass = Pass {
    name: "transitions",
    unknown: "how coarse the readings are: one that was averaged over a change has the power of some third state",
    refine: transitions,
};

/// Gives one or two readings between two different states to the later one, and an uncertain reading in the middle of a state
/// to that state. Heat is left as it is: its threshold is far from everything else.
fn transitions(reading: &mut Reading, evidence: &Evidence) {
    let spans = &reading.spans;
    let mut tidied: Vec<Span> = Vec::with_capacity(spans.len());
    let mut held: Option<Seconds> = None;
    for (i, span) in spans.iter().enumerate() {
        let mut span = *span;
        if let Some(start) = held.take() {
            span.start = start;
        }
        let readings = (spans[i].end - spans[i].start) / evidence.trace.resolution;
        let before = tidied.last().filter(|b| b.touches(&span));
        let after = spans.get(i + 1).filter(|a| spans[i].touches(a));
        if let (Some(before), Some(after)) = (before, after)
            && !span.state.heats()
            && !after.state.heats()
        {
            let in_change = before.state != after.state && readings < IN_CHANGE.get();
            let ran = before.state == State::Off && spans[i].duration() >= STRAY_LASTS.get();
            let in_same = before.state == after.state
                && !ran
                && readings < STRAY.get()
                && spans[i].certainty() < STRAY_CERTAINTY.get();
            if in_change || in_same {
                held = Some(span.start);
                continue;
            }
        }
        push(&mut tidied, span);
    }
    reading.spans = tidied;
}

#[cfg(test)]
mod tests {
    use tubtrace_units::Seconds;

    use crate::loads::State;
    use crate::loads::by_hand::{pass, spans, told, trace};

    fn with(middle: State, certainty: f64, seconds: f64, after: State) -> Vec<(State, f64)> {
        let mut model = spans(&[(State::Fill, 60.0), (middle, seconds), (after, 60.0)]);
        model[1].beside = certainty;
        told(&pass("transitions", model, &trace(&[(180, 50.0)])).spans)
    }

    #[test]
    fn a_reading_in_the_middle_of_a_change_belongs_to_what_comes_after() {
        let expected = [(State::Fill, 60.0), (State::Wash, 62.0)];
        assert_eq!(with(State::Drain, 0.8, 2.0, State::Wash), expected);
        assert_eq!(with(State::Drain, 1.0, 2.0, State::Wash), expected);
    }

    #[test]
    fn an_uncertain_reading_in_the_middle_of_something_belongs_to_it() {
        assert_eq!(with(State::Drain, 0.6, 1.0, State::Fill), [(State::Fill, 121.0)]);
    }

    #[test]
    fn a_mean_of_something_that_ran_for_itself_stays() {
        let off = |seconds: f64| {
            let mut model = spans(&[(State::Off, 60.0), (State::Drain, seconds), (State::Off, 60.0)]);
            model[1].beside = 0.6;
            let mut trace = trace(&[(180, 50.0)]);
            trace.resolution = Seconds(seconds);
            pass("transitions", model, &trace).spans.len()
        };
        assert_eq!([1.0, 60.0].map(off), [1, 3]);
    }

    #[test]
    fn what_lasts_or_heats_stays() {
        assert_eq!(with(State::Drain, 0.8, 3.0, State::Wash).len(), 3);
        assert_eq!(with(State::Heat, 0.8, 2.0, State::Wash).len(), 3);
    }
}
