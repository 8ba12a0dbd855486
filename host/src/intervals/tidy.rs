//! Spans into what a person would call one thing: samples averaged over a change, starting surges and pulses of a
//! pump are part of what they belong to.

use tubtrace_units::Seconds;

use crate::loads::{Span, State};
use crate::trace::Trace;

/// Pulses of the drain pump are one drain while what is between them is shorter than this.
const PULSE: Seconds = Seconds(10.0);

/// Common practice, no source.
const PART_HEAT_AT_LEAST: Seconds = Seconds(30.0);

/// Tidies spans; their order and the gaps between them stay.
pub(super) fn tidy(spans: &[Span], trace: &Trace) -> Vec<Span> {
    pulses(&starts(&passing(&brief(spans), trace.resolution)))
}

/// A heater that gives part of its heat does so for minutes: what is brief is a pump that changes its speed, or a
/// reading averaged over a change.
fn brief(spans: &[Span]) -> Vec<Span> {
    let is_brief = |s: &Span| s.state == State::PartHeat && s.end - s.start < PART_HEAT_AT_LEAST;
    let mut tidied = Vec::with_capacity(spans.len());
    for span in spans {
        push(&mut tidied, if is_brief(span) { Span { state: State::Wash, ..*span } } else { *span });
    }
    tidied
}

/// Joins `span` to the last of `spans` where they touch and are alike, else appends it.
fn push(spans: &mut Vec<Span>, span: Span) {
    match spans.last_mut() {
        Some(last) if last.state == span.state && last.beside == span.beside && last.touches(&span) => {
            last.go_on(&span);
        }
        _ => spans.push(span),
    }
}

fn heats(span: &Span) -> bool {
    matches!(span.state, State::Heat | State::DryHeat | State::PartHeat | State::PartDry)
}

/// A reading or two taken in the middle of a change belong to what comes after it, and an uncertain one in the
/// middle of something to that.
fn passing(spans: &[Span], resolution: Seconds) -> Vec<Span> {
    let mut tidied: Vec<Span> = Vec::with_capacity(spans.len());
    let mut held: Option<Seconds> = None;
    for (i, span) in spans.iter().enumerate() {
        let mut span = *span;
        if let Some(start) = held.take() {
            span.start = start;
        }
        let readings = (spans[i].end - spans[i].start) / resolution;
        let before = tidied.last().filter(|b| b.touches(&span));
        let after = spans.get(i + 1).filter(|a| spans[i].touches(a));
        if let (Some(before), Some(after)) = (before, after)
            && !heats(&span)
            && !heats(after)
        {
            let in_change = before.state != after.state && readings < 2.5 && spans[i].certainty < 0.99;
            let in_same = before.state == after.state && readings < 1.5 && spans[i].certainty < 0.9;
            if in_change || in_same {
                held = Some(span.start);
                continue;
            }
        }
        push(&mut tidied, span);
    }
    tidied
}

/// The surge of a pump that starts, or changes its speed, is part of its run.
fn starts(spans: &[Span]) -> Vec<Span> {
    let mut tidied: Vec<Span> = Vec::with_capacity(spans.len());
    for (i, span) in spans.iter().enumerate() {
        let runs = |s: &Span| matches!(s.state, State::Wash | State::Heat);
        let before = tidied.last().is_some_and(|b| b.touches(span) && b.state == State::Wash);
        let after = spans.get(i + 1).is_some_and(|a| span.touches(a) && runs(a));
        let state = if span.state == State::Surge && (before || after) { State::Wash } else { span.state };
        push(&mut tidied, Span { state, ..*span });
    }
    tidied
}

/// Short things between two drains are pulses of one drain: the pump rests, or the wash pump stirs.
fn pulses(spans: &[Span]) -> Vec<Span> {
    let mut tidied: Vec<Span> = Vec::with_capacity(spans.len());
    let mut i = 0;
    while i < spans.len() {
        let mut end = i;
        if spans[i].state == State::Drain {
            // The farthest drain that is reached over pieces which all are short.
            let mut next = i + 1;
            let mut between = Seconds(0.0);
            while next < spans.len() && spans[next - 1].touches(&spans[next]) && !heats(&spans[next]) {
                if spans[next].state == State::Drain {
                    end = next;
                    between = Seconds(0.0);
                } else {
                    between += spans[next].end - spans[next].start;
                    if between > PULSE {
                        break;
                    }
                }
                next += 1;
            }
        }
        let certainty = spans[i..=end].iter().map(|s| s.certainty).fold(1.0, f64::min);
        let certainty = if end > i { certainty.max(0.8) } else { certainty };
        push(&mut tidied, Span { end: spans[end].end, certainty, ..spans[i] });
        i = end + 1;
    }
    tidied
}
