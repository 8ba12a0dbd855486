//! Onset of an overlay. In fills and drains it is plain, in a wash it is a step of a few watts. A dispenser begins in a wash, so
//! the step is looked for in the washes before the overlay first shows.

use tubtrace_units::{Load, Seconds};

use super::pass::{Evidence, Pass, Reading};
use crate::loads::constants::steps::{ONSET_REST, ONSET_SETTLES, ONSET_STANDS_OUT, ONSET_WINDOW};
use crate::loads::signatures::Signatures;
use crate::loads::span::Span;
use crate::loads::state::State;
use crate::stats::weighted_median;
use crate::trace::Trace;

pub(super) const PASS: Pass = Pass {
    name: "onset",
    unknown: "when, in the wash before it shows, something small went on: beside a wash pump it is within the level's spread",
    refine: onset,
};

/// Makes an overlay that began in a wash the dispenser, from its step on.
fn onset(reading: &mut Reading, evidence: &Evidence) {
    let located = &mut reading.spans;
    let mut from = 0;
    while let Some(first) = located[from..].iter().position(|s| s.overlay.is_some()).map(|i| from + i) {
        let last = (first..located.len()).take_while(|&i| stays(&located[i])).last().unwrap_or(first);
        from = last + 1;
        if let Some((index, at)) =
            begins(located, first..last + 1, evidence.trace, evidence.levels.at(located[first].start))
        {
            let split = located[index];
            let before = (at > split.start).then_some(Span { end: at, ..split });
            let rest = Span { start: at, overlay: None, ..split };
            located.splice(index..=index, before.into_iter().chain([rest]));
            let (start, added) = (index + usize::from(before.is_some()), usize::from(before.is_some()));
            for span in &mut located[start..=last + added] {
                span.overlay = Some(Load::Dispenser);
            }
            from += added;
        }
    }
}

/// Whether the overlay may still be on: it shows, or the state hides it.
fn stays(span: &Span) -> bool {
    span.overlay.is_some() || !matches!(span.state, State::Off | State::Fill | State::Drain | State::Small)
}

/// Index of the wash in which power rises by what the overlay draws, and when; none, if there is no such step before the spans `plain`,
/// in which it shows.
fn begins(
    spans: &[Span],
    plain: std::ops::Range<usize>,
    trace: &Trace,
    signatures: &Signatures,
) -> Option<(usize, Seconds)> {
    let power = |from: Seconds, to: Seconds| {
        weighted_median(trace.between(from, to).map(|s| (s.power.0, s.duration().0)))
    };
    let fills = spans[plain.clone()].iter().filter(|s| s.state == State::Fill && s.overlay.is_some());
    let fill = weighted_median(fills.filter_map(|s| Some((power(s.start, s.end)?, (s.end - s.start).0))))?;
    let washes = spans[plain.clone()].iter().filter(|s| s.state == State::Wash);
    let wash = weighted_median(washes.filter_map(|s| Some((power(s.start, s.end)?, (s.end - s.start).0))))?;
    let small = fill - signatures.standby.0 - signatures.fill.0;
    let high = |at: Option<f64>| at.is_some_and(|p| p > wash - 0.5 * small);
    if small < ONSET_STANDS_OUT.get().0 {
        return None;
    }
    let rests =
        |i: &usize| spans[*i].state == State::Off && spans[*i].end - spans[*i].start > ONSET_REST.get();
    let earlier = (0..plain.start).rev().take_while(|i| !rests(i));
    for index in earlier.filter(|&i| spans[i].state == State::Wash) {
        let span = &spans[index];
        if !high(power(span.end - ONSET_WINDOW.get(), span.end)) {
            return None;
        }
        // Inrush is left out.
        let settled = span.start + ONSET_SETTLES.get();
        if high(power(settled, settled + ONSET_WINDOW.get())) {
            continue;
        }
        let seconds = (span.end - settled).0 as usize;
        let at = (0..seconds).map(|s| settled + Seconds(s as f64));
        return at
            .clone()
            .find(|t| high(power(*t, (*t + ONSET_WINDOW.get()).min(span.end))))
            .map(|t| (index, t));
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{DRAIN, FILL, STANDBY, WASH, pass, spans, trace};

    /// Eight watts more from 160 s on, in the middle of a wash. The model sees them in the drain after it.
    #[test]
    fn what_stays_on_began_where_the_wash_before_draws_more() {
        let more = STANDBY + 8.0;
        let readings = [
            (60, STANDBY + FILL),
            (100, STANDBY + WASH),
            (100, more + WASH),
            (60, more + DRAIN),
            (60, more + FILL),
            (200, more + WASH),
            (60, more + DRAIN),
        ];
        let lasting = [
            (State::Fill, 60.0),
            (State::Wash, 200.0),
            (State::Drain, 60.0),
            (State::Fill, 60.0),
            (State::Wash, 200.0),
            (State::Drain, 60.0),
        ];
        let mut model = spans(&lasting);
        for drawn in [2, 3, 5] {
            model[drawn].overlay = Some(Load::Vent);
        }
        let located = pass("onset", model, &trace(&readings)).spans;
        let from = located.iter().position(|s| s.overlay == Some(Load::Dispenser)).expect("it began");
        assert_eq!(located[from].state, State::Wash);
        assert!((located[from].start - Seconds(160.0)).abs() < ONSET_WINDOW.get(), "{located:?}");
        assert!(located[from..].iter().all(|s| s.overlay == Some(Load::Dispenser)), "{located:?}");
    }
}
