//! Findings on the page: measured against expected. What may be behind them stands before all else (`answer.rs`).

use maud::{Markup, html};

use super::super::units::Units;
use super::super::wording::{
    following, groups, held_against, in_doubt, likewise, reach, sentence, sure, unusual, when,
};
use super::cutout::cutout;
use super::picture::Scene;
use crate::findings::{Finding, Judged, Quantity};
use crate::intervals::Cycle;

/// What a cycle departs by; nothing for one that does not. Where its picture is `drawn`, each finding has a cut-out of it.
pub(super) fn findings(scene: Scene, cycle: &Cycle, judged: &Judged, drawn: bool) -> Markup {
    if !judged.has_to_tell() && reach(judged, cycle).is_none() {
        return html! {};
    }
    html! {
        article.findings id={ "findings-" (scene.id) } {
            h3 { (scene.title) }
            @if let Some(reach) = reach(judged, cycle) {
                p.soft { (reach) }
            }
            ol {
                @for (i, group) in groups(judged.standing()).iter().enumerate() {
                    li id={ "finding-" (scene.id) "-" (i + 1) } { (told(scene, judged, group, drawn)) }
                }
            }
            @if let Some(odds) = held_against(judged) { p.soft { (odds) } }
            @if !judged.unusual.is_empty() {
                h4 { "Unusual" }
                ul { @for group in groups(&judged.unusual) { li { (unusual(judged, &group, scene.subject.units)) } } }
            }
            @if !judged.differs.is_empty() { (differs(scene, judged)) }
            @if !judged.undecided.is_empty() { (undecided(scene, judged)) }
        }
    }
}

fn told(scene: Scene, judged: &Judged, group: &[&Finding], drawn: bool) -> Markup {
    let units = scene.subject.units;
    let first = group[0];
    html! {
        p.what { strong { (sentence(first, units)) } (sure(first.certainty)) }
        (gauge(first, units))
        @if drawn { (cutout(scene, first)) }
        @if let Some(others) = likewise(group) { p { (others) } }
        @if let Some(follows) = following(judged, group, units) { p { "follows: " (follows) } }
        dl {
            dt { "at" }
            dd { (when(first, &scene.subject.log.trace, units)) }
        }
    }
}

/// By what it differs from the programme that it is like.
fn differs(scene: Scene, judged: &Judged) -> Markup {
    html! {
        h4 { "Where it differs" }
        p.soft { "No fault by itself: a choice of another programme explains it." }
        ul {
            @for group in groups(&judged.differs) {
                li {
                    (sentence(group[0], scene.subject.units)) " "
                    @if let Some(others) = likewise(&group) { (others) }
                }
            }
        }
    }
}

fn undecided(scene: Scene, judged: &Judged) -> Markup {
    let units = scene.subject.units;
    html! {
        h4 { "Too close to call" }
        p.soft { "Outside its limits by no more than its uncertainty: unproven, watch it." }
        ul {
            @for group in groups(&judged.undecided) {
                li {
                    (in_doubt(group[0], units)) " "
                    @if let Some(others) = likewise(&group) { (others) }
                }
            }
        }
    }
}

/// Hundredths of the width that are left on either side.
const ROOM: f64 = 12.0;

/// What was measured on a line, with what is expected as a bar on it.
fn gauge(f: &Finding, units: Units) -> Markup {
    let number = |q: Quantity| q.number();
    let (low, high) = (f.expected.0.map(number), f.expected.1.map(number));
    let drawn = !matches!(f.measured, Quantity::Count(_)) && (low.is_some() || high.is_some());
    if !drawn {
        return html! {};
    }
    let (measured, doubt) = (number(f.measured), number(f.uncertainty));
    let ends = [Some(measured - doubt), Some(measured + doubt), low, high];
    let least = ends.iter().flatten().copied().fold(f64::INFINITY, f64::min);
    let most = ends.iter().flatten().copied().fold(f64::NEG_INFINITY, f64::max);
    let width = (most - least).max(f64::MIN_POSITIVE);
    let place = |value: f64| ROOM + (value - least) / width * (100.0 - 2.0 * ROOM);
    let (left, right) = (low.map_or(0.0, place), high.map_or(100.0, place));
    let whisker = (place(measured - doubt), place(measured + doubt));
    let told = format!("measured {}, expected {}", units.quantity(f.measured), units.expected(f.expected));
    html! {
        div.gauge role="img" aria-label=(told) {
            span.within style=(format!("left:{left:.2}%;width:{:.2}%", (right - left).max(0.4))) {}
            span.doubt style=(format!("left:{:.2}%;width:{:.2}%", whisker.0, whisker.1 - whisker.0)) {}
            span.dot style=(format!("left:{:.2}%", place(measured))) {}
            span.value style=(format!("left:{:.2}%", place(measured))) { (units.quantity(f.measured)) }
            @if let Some(least) = f.expected.0 { span.limit style=(format!("left:{left:.2}%")) { (units.quantity(least)) } }
            @if let Some(most) = f.expected.1 { span.limit.most style=(format!("left:{right:.2}%")) { (units.quantity(most)) } }
        }
    }
}
