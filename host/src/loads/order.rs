//! What order says of something small whose level and sound say too little: a valve that lets no water by looks like a vent,
//! and without pickups every valve does.

use tubtrace_units::Seconds;

use super::{Span, State};

/// Shorter than this is told by nothing.
const LASTS: Seconds = Seconds(25.0);

/// What is told by its place alone is not sure.
const UNSURE: f64 = 0.55;

/// A fill leads to a wash or a drain within this: a control may wait, and a pump that is seized tries again.
const LEADS: Seconds = Seconds(480.0);

/// Spans with what is small named by its place: before water is used it lets water in, and when nothing follows it dries.
pub(super) fn by_order(spans: Vec<Span>, hears_flow: bool) -> Vec<Span> {
    let named = |i: usize| {
        let span = &spans[i];
        let lasts = span.duration() > LASTS;
        match span.state {
            State::Small if lasts && leads_straight(&spans, i) && !follows_heat(&spans, i) => {
                Span { state: State::Fill, certainty: span.certainty.min(0.7), ..*span }
            }
            State::Fill if !hears_flow && lasts && !leads(&spans, i) => {
                Span { state: State::Small, certainty: span.certainty.min(UNSURE), ..*span }
            }
            _ => *span,
        }
    };
    (0..spans.len()).map(named).collect()
}

fn uses_water(span: &Span) -> bool {
    matches!(span.state, State::Wash | State::Surge | State::Drain | State::Heat | State::PartHeat)
}

/// Whether water is used right after it.
fn leads_straight(spans: &[Span], i: usize) -> bool {
    spans.get(i + 1).is_some_and(|next| spans[i].touches(next) && uses_water(next))
}

/// Whether water is used soon after it, or nobody knows.
fn leads(spans: &[Span], i: usize) -> bool {
    let end = spans[i].end;
    let soon = || spans[i + 1..].iter().take_while(|s| s.start - end < LEADS);
    let cut = spans.get(i + 1).is_none_or(|next| !spans[i].touches(next));
    cut || soon().any(uses_water)
}

/// Whether it comes after the heat of drying.
fn follows_heat(spans: &[Span], i: usize) -> bool {
    let dries = |s: &Span| matches!(s.state, State::DryHeat | State::PartDry | State::Heat | State::Small);
    i.checked_sub(1).is_some_and(|before| spans[before].touches(&spans[i]) && dries(&spans[before]))
}
