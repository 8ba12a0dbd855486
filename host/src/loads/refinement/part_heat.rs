//! Part of heat: a heater that gives a part of its heat does so for minutes.

use super::join::push;
use super::pass::{Evidence, Pass, Reading};
use crate::loads::constants::order::PART_HEAT_LASTS;
use crate::loads::span::Span;
use crate::loads::state::State;

pub(super) const PASS: Pass = Pass {
    name: "part-heat",
    unknown: "how short a heater's part of heat may be: a pump that changes its speed passes through the same power",
    refine: part_heat,
};

/// Makes washing of short parts of heat: they are a pump that changes its speed, or a reading averaged over a change.
fn part_heat(reading: &mut Reading, _: &Evidence) {
    let spans = &reading.spans;
    let is_brief = |s: &Span| s.state == State::PartHeat && s.end - s.start < PART_HEAT_LASTS.get();
    let mut tidied = Vec::with_capacity(spans.len());
    for span in spans {
        push(&mut tidied, if is_brief(span) { span.is_really(State::Wash) } else { *span });
    }
    reading.spans = tidied;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{pass, spans, told, trace};

    #[test]
    fn a_part_of_heat_for_seconds_is_a_change_of_speed() {
        let model = spans(&[(State::Wash, 60.0), (State::PartHeat, 10.0), (State::Wash, 60.0)]);
        assert_eq!(told(&pass("part-heat", model, &trace(&[(130, 100.0)])).spans), [(State::Wash, 130.0)]);
    }

    #[test]
    fn a_part_of_heat_for_minutes_stays() {
        let model = spans(&[(State::Wash, 60.0), (State::PartHeat, 200.0), (State::Wash, 60.0)]);
        assert_eq!(pass("part-heat", model.clone(), &trace(&[(320, 100.0)])).spans, model);
    }
}
