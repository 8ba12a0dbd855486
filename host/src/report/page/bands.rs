//! What stands at its time in a picture: intervals with the limits of the chart behind them, loads, gaps, findings, marks.

use maud::{Markup, html};
use tubtrace_units::{Load, Loads, Seconds};

use super::super::timeline::is_unsure;
use super::super::words::lasts;
use super::axis::Extent;
use super::panel::view_box;
use crate::findings::{Finding, Placed};
use crate::intervals::{Interval, Kind};
use crate::trace::Trace;

/// The intervals, each before the time within which the chart has it end.
pub(super) fn intervals(intervals: &[Interval], placed: &[Placed], span: Extent) -> Markup {
    html! {
        div.panel.bands {
            @for p in placed {
                @if let Some(limits) = p.expected.lasts {
                    @let (from, to) = (p.start + limits.low, p.start + limits.high);
                    @if span.touches(from, to) {
                        @let place = span.place(from, to);
                        span.ends.at data-a=(place.a) data-b=(place.b) style=(place.style) {}
                    }
                }
            }
            @for i in intervals { (band(i, span)) }
        }
    }
}

fn band(interval: &Interval, span: Extent) -> Markup {
    let place = span.place(interval.start, interval.end);
    let doubt = if is_unsure(interval) { " (perhaps)" } else { "" };
    let told = format!("{}{doubt}, {}", interval.kind, lasts(interval.duration()));
    let with = if interval.loads.is_empty() { String::new() } else { format!(": {}", interval.loads) };
    html! {
        span class={ "band at k-" (interval.kind) } data-a=(place.a) data-b=(place.b) data-told={ (told) (with) }
            style=(place.style) {
            span { b { (interval.kind) } }
        }
    }
}

/// A lane for each load that runs in the cycle.
pub(super) fn lanes(intervals: &[Interval], span: Extent) -> Markup {
    let runs: Loads = intervals.iter().fold(Loads::NONE, |all, i| all.union(i.loads));
    html! {
        @for load in runs.iter() {
            div class={ "panel lane l-" (load) } {
                svg viewBox=(view_box(span)) preserveAspectRatio="none" aria-hidden="true" {
                    @for (class, d) in [("on", lane(intervals, load, false, span)), ("perhaps", lane(intervals, load, true, span))] {
                        @if !d.is_empty() { path class=(class) d=(d) {} }
                    }
                }
                span.name { (load) }
            }
        }
    }
}

/// When a load is on, as boxes; what cannot be told apart from what can.
fn lane(intervals: &[Interval], load: Load, unsure: bool, span: Extent) -> String {
    let on = intervals.iter().filter(|i| i.loads.has(load) && is_unsure(i) == unsure);
    on.map(|i| {
        let (from, to) = (span.tenths(i.start), span.tenths(i.end));
        format!("M{from} 200h{w}v600h-{w}z", w = (to - from).max(0))
    })
    .collect()
}

/// Gaps of the trace, over everything.
pub(super) fn gaps(trace: &Trace, span: Extent) -> Markup {
    html! {
        @for (from, to) in trace.gaps().filter(|gap| span.touches(gap.0, gap.1)) {
            @let place = span.place(from, to);
            span.gap.at data-a=(place.a) data-b=(place.b) style=(place.style)
                data-told={ "no readings for " (lasts(to - from)) } {
                span { b { "gap" } }
            }
        }
    }
}

/// How wide a flag is beside the picture of a cycle on a telephone, 24 of some 350 points.
const FLAG_WIDE: f64 = 0.07;

/// A flag where each finding begins, which leads to it; `anchor` names the finding of a number from 1.
pub(super) fn flags(groups: &[Vec<&Finding>], span: Extent, anchor: impl Fn(usize) -> String) -> Markup {
    // On a telephone a flag would hide one so near, of another finding.
    let near = (span.to - span.from) * FLAG_WIDE;
    let all = groups.iter().enumerate().flat_map(|(i, group)| group.iter().map(move |f| (f.start, i)));
    let beside = |start: Seconds, i: usize| all.clone().any(|(at, of)| of < i && (at - start).abs() < near);
    html! {
        div.flags {
            @for (i, group) in groups.iter().enumerate() {
                @for (n, finding) in group.iter().enumerate() {
                    @if finding.start >= span.from && finding.start <= span.to {
                        @let place = span.mark(finding.start);
                        a.flag.at.beside[beside(finding.start, i)] href={ "#" (anchor(i + 1)) } data-a=(place.a) style=(place.style)
                            tabindex=[(n > 0).then_some("-1")]
                            title={ (i + 1) ". " (finding.interval) } {
                            span.read { "finding " } (i + 1)
                        }
                    }
                }
            }
        }
    }
}

/// Marks that a picture or a list shows at most: nobody presses a button more often in a night, and the page stays small.
pub(super) const MOST_MARKS: usize = 200;

/// When the button was pressed, the first times of very many.
pub(super) fn marks(trace: &Trace, span: Extent) -> Markup {
    let within = trace.marks.iter().filter(|m| **m >= span.from && **m <= span.to);
    html! {
        @for mark in within.take(MOST_MARKS) {
            @let place = span.mark(*mark);
            span.mark.at data-a=(place.a) style=(place.style) { span { "button" } }
        }
    }
}

/// Words for the colours of the bands.
pub(super) fn legend<'a>(intervals: impl Iterator<Item = &'a Interval> + Clone, placed: &[Placed]) -> Markup {
    let all =
        [Kind::Fill, Kind::Wash, Kind::Heat, Kind::Purge, Kind::Drain, Kind::Dry, Kind::Stall, Kind::Pause];
    let seen = all.into_iter().filter(|k| intervals.clone().any(|i| i.kind == *k));
    html! {
        ul.legend {
            @for kind in seen { li { i class={ "k-" (kind) } {} (kind) } }
            @if !placed.is_empty() { li { i.window {} "allowed end" } }
        }
    }
}
