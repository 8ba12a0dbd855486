//! What order says of something small that is not heard: a valve that lets no water by looks like a vent.

use tubtrace_units::Seconds;

use super::{Span, State};

/// Spans in which something small that leads straight to a wash or a drain, and does not follow heat, is a fill that was not
/// heard: nobody dries before there was water.
pub(super) fn unheard(spans: Vec<Span>) -> Vec<Span> {
    let touch = |a: &Span, b: &Span| b.start.0 - a.end.0 < 0.01;
    let leads = |i: usize| {
        let next = spans.get(i + 1).filter(|n| touch(&spans[i], n));
        next.is_some_and(|n| matches!(n.state, State::Wash | State::Surge | State::Drain))
    };
    let after_heat = |i: usize| {
        let dries =
            |s: &&Span| matches!(s.state, State::DryHeat | State::PartDry | State::Heat | State::Small);
        i.checked_sub(1).map(|b| &spans[b]).filter(|b| touch(b, &spans[i])).as_ref().is_some_and(dries)
    };
    let lasts = |s: &Span| s.end - s.start > Seconds(25.0);
    let is_fill = |i: usize| spans[i].state == State::Small && lasts(&spans[i]) && leads(i) && !after_heat(i);
    let turned = |i: usize| {
        if is_fill(i) {
            Span { state: State::Fill, certainty: spans[i].certainty.min(0.7), ..spans[i] }
        } else {
            spans[i]
        }
    };
    (0..spans.len()).map(turned).collect()
}
