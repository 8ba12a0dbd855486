//! Long drains: what draws what the drain pump does and goes on for longer than a tub takes to empty is a fan that dries, or the wash pump of a
//! machine whose levels were taken for each other's.

use super::join::push;
use super::pass::{Evidence, Pass, Reading};
use crate::loads::constants::order::{DRAINS_WITHIN, LAST_DRIES, LONG_WASHES};
use crate::loads::programmes::{in_water, last_wash, programmes};
use crate::loads::span::Span;
use crate::loads::state::State;

pub(super) const PASS: Pass = Pass {
    name: "long-drain",
    unknown: "that no drain takes very long, and that a fan may draw what the drain pump does: a small load has a level of its own in it",
    refine: long_drain,
};

/// Names what is too long for a drain. Where it is known what the machine's pumps and its fan draw, that names it, for the pump may not stop; there it is
/// only so much less sure.
fn long_drain(reading: &mut Reading, evidence: &Evidence) {
    let before = &reading.spans;
    let mut after = before.clone();
    for run in programmes(before, evidence.apart, evidence.trace.resolution) {
        let last_wash = last_wash(before, &run);
        for i in run.clone() {
            let span = &before[i];
            let is_long = span.state == State::Drain && span.duration() > DRAINS_WITHIN.get();
            if !is_long || is_heard(span, evidence) {
                continue;
            }
            let dries = last_wash.is_some_and(|last| i > last) && !in_water(&before[run.start..i]);
            let (state, odds) =
                if dries { (State::Small, LAST_DRIES.get()) } else { (State::Wash, LONG_WASHES.get()) };
            after[i] = match evidence.known {
                true => Span { states: span.states.weighed(state, odds), ..*span },
                false => span.named(state, State::Drain, odds),
            };
        }
    }
    reading.spans.clear();
    after.into_iter().for_each(|span| push(&mut reading.spans, span));
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
    use crate::loads::Signatures;
    use crate::loads::by_hand::{pass_of, signatures, spans, trace};

    /// A drain of the usual length, and what draws as much for many minutes, in water before the end and in an empty tub after it.
    fn drains(known: bool) -> Vec<(State, f64)> {
        let model = spans(&[
            (State::Fill, 60.0),
            (State::Drain, 900.0),
            (State::Fill, 60.0),
            (State::Wash, 600.0),
            (State::Drain, 40.0),
            (State::Off, 60.0),
            (State::Drain, 1_400.0),
        ]);
        let signatures = Signatures { given: known, ..signatures() };
        let told = pass_of("long-drain", model, &trace(&[(3_120, 35.0)]), signatures).spans;
        [1, 4, 6].map(|i| (told[i].state, told[i].certainty())).into()
    }

    #[test]
    fn what_is_too_long_for_a_drain_washes_in_water_and_dries_after_it() {
        let (washes, dries) = (LONG_WASHES.get(), LAST_DRIES.get());
        let expected = [
            (State::Wash, washes / (1.0 + washes)),
            (State::Drain, 1.0),
            (State::Small, dries / (1.0 + dries)),
        ];
        for (told, expected) in drains(false).iter().zip(expected) {
            assert!(told.0 == expected.0 && (told.1 - expected.1).abs() < 1e-9, "{told:?}, {expected:?}");
        }
    }

    #[test]
    fn of_a_machine_whose_levels_are_sure_it_is_a_pump_that_does_not_stop() {
        assert_eq!(drains(true), [(State::Drain, 1.0); 3]);
    }
}
