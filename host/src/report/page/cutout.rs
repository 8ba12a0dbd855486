//! A part of a cycle's picture beside a finding: the curve that shows it, from a little before to a little after.

use maud::{Markup, html};
use tubtrace_units::Seconds;

use super::super::words::clock_time;
use super::axis::Extent;
use super::picture::Scene;
use super::scale::HEIGHT;
use crate::findings::{Finding, Quantity};
use crate::intervals::Kind;
use crate::trace::Meter;

/// A cut-out shows at least so much on either side.
const BESIDE: Seconds = Seconds(30.0);

/// The curve of the cycle's picture around a finding, with the interval that it is of behind it. It is drawn once, in the picture.
pub(super) fn cutout(scene: Scene, finding: &Finding) -> Markup {
    let Some(interval) = scene.intervals.iter().rfind(|i| i.start <= finding.start) else {
        return html! {};
    };
    // What the chart has as one may be several intervals.
    let placed = scene.judged.and_then(|j| j.placed.iter().find(|p| p.start == finding.start));
    let end = placed.map_or(interval.end, |p| p.end.max(interval.end));
    let beside = ((end - interval.start) * 0.5).max(BESIDE);
    let whole = scene.extent();
    let part = Extent { from: (interval.start - beside).max(whole.from), to: (end + beside).min(whole.to) };
    let trace = &scene.subject.log.trace;
    let (curve, name) = match (finding.measured, finding.does, trace.meter) {
        (Quantity::Noise(_), Kind::Fill, _) => ("supply", "supply flow noise"),
        (Quantity::Noise(_), _, _) => ("drain", "drain flow noise"),
        (_, _, Meter::Current) => ("drawn", "current"),
        (_, _, Meter::Power) => ("drawn", "power"),
    };
    let (x, width) = (whole.tenths(part.from), whole.tenths(part.to) - whole.tenths(part.from));
    let (start, end) = (whole.tenths(interval.start), whole.tenths(end));
    let told = format!("{name}, {} to {}", clock_time(trace, part.from), clock_time(trace, part.to));
    html! {
        figure.cutout {
            svg viewBox=(format!("{x} 0 {} {HEIGHT}", width.max(1))) preserveAspectRatio="none" aria-hidden="true" {
                rect.here x=(start) y="0" width=((end - start).max(1)) height=(HEIGHT) {}
                use href={ "#" (scene.curve(curve)) } {}
            }
            figcaption { (told) }
        }
    }
}
