//! Drain pulses: a drain pump that rests for seconds, while the wash pump may stir, makes one drain.

use tubtrace_units::Seconds;

use super::join::push;
use super::pass::{Evidence, Pass, Reading};
use crate::loads::constants::order::DRAIN_RESTS;
use crate::loads::span::Span;
use crate::loads::state::State;

pub(super) const PASS: Pass = Pass {
    name: "drain-pulses",
    unknown: "that a drain goes on after a pause: it knows what follows, and not what went before that",
    refine: drain_pulses,
};

/// Joins drains between which only short spans without heat lie.
fn drain_pulses(reading: &mut Reading, _: &Evidence) {
    let spans = &reading.spans;
    let mut tidied: Vec<Span> = Vec::with_capacity(spans.len());
    let mut i = 0;
    while i < spans.len() {
        let mut end = i;
        if spans[i].state == State::Drain {
            // The farthest drain that is reached over short rests.
            let mut next = i + 1;
            let mut between = Seconds(0.0);
            while next < spans.len() && spans[next - 1].touches(&spans[next]) && !spans[next].state.heats() {
                if spans[next].state == State::Drain {
                    end = next;
                    between = Seconds(0.0);
                } else {
                    between += spans[next].end - spans[next].start;
                    if between > DRAIN_RESTS.get() {
                        break;
                    }
                }
                next += 1;
            }
        }
        let mut drain = spans[i];
        spans[i + 1..=end].iter().for_each(|part| drain.extend_over(part));
        push(&mut tidied, drain);
        i = end + 1;
    }
    reading.spans = tidied;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{pass, spans, told, trace};

    fn drains(between: State, seconds: f64) -> Vec<(State, f64)> {
        let model =
            spans(&[(State::Drain, 30.0), (between, seconds), (State::Drain, 30.0), (State::Fill, 60.0)]);
        told(&pass("drain-pulses", model, &trace(&[(180, 35.0)])).spans)
    }

    #[test]
    fn a_drain_goes_on_over_a_rest_of_seconds() {
        assert_eq!(drains(State::Off, 8.0), [(State::Drain, 68.0), (State::Fill, 60.0)]);
        assert_eq!(drains(State::Wash, 8.0), [(State::Drain, 68.0), (State::Fill, 60.0)]);
    }

    #[test]
    fn a_long_rest_or_heat_parts_two_drains() {
        assert_eq!(drains(State::Off, 12.0).len(), 4);
        assert_eq!(drains(State::DryHeat, 8.0).len(), 4);
    }
}
