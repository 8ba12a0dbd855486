//! Long drains: what draws what the drain pump does and goes on for many minutes may be a fan that dries.

use super::pass::{Evidence, Pass, Reading};
use crate::loads::constants::dwell::{DRAIN, SMALL};
use crate::loads::constants::order::{FAN_LIKE_DRAIN, NEVER_STOPS};
use crate::loads::span::Span;
use crate::loads::state::State;

pub(super) const PASS: Pass = Pass {
    name: "long-drain",
    unknown: "that a fan may draw what the drain pump does: a small load has a level of its own in it",
    refine: |reading: &mut Reading, evidence: &Evidence| {
        for span in reading.spans.iter_mut().filter(|s| s.state == State::Drain) {
            if !is_heard(span, evidence) {
                let fan = 1.0 - pumps(span.duration().0);
                span.states = span.states.taken(State::Drain, State::Small, fan);
            }
        }
    },
};

/// Probability that the drain pump runs where something draws what it does for so many seconds: a drain ends at a constant rate, or seldom with a pump that
/// does not stop; a fan goes on like anything small. Both may go on for as long.
fn pumps(lasts: f64) -> f64 {
    let small = (-lasts / SMALL.get().0).exp();
    let drain = (-lasts / DRAIN.get().0).exp() + NEVER_STOPS.get() * small;
    drain / (drain + FAN_LIKE_DRAIN.get() * small)
}

/// Whether water or the pump is heard in the hose in most of a span.
fn is_heard(span: &Span, evidence: &Evidence) -> bool {
    let Some(flow) = evidence.levels.at(span.start).flow else { return false };
    let steps = evidence.trace.between(span.start, span.end);
    let heard = steps.filter(|s| s.detail.is_some_and(|d| d.drain.0 > flow.drain.0));
    heard.map(|s| s.duration().0).sum::<f64>() > 0.5 * span.duration().0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{pass, spans, trace};

    #[test]
    fn a_drain_of_many_minutes_is_not_sure() {
        let model =
            spans(&[(State::Wash, 600.0), (State::Drain, 40.0), (State::Off, 60.0), (State::Drain, 1_400.0)]);
        let told = pass("long-drain", model, &trace(&[(2_100, 35.0)])).spans;
        assert!(told[1].certainty() > 0.98, "{told:?}");
        assert!((0.6..0.95).contains(&told[3].certainty()), "{told:?}");
        assert_eq!((told[0].certainty(), told[3].state), (1.0, State::Drain));
    }
}
