//! A small control chart: a point for each run, the limits, and what is told of a point by its shape.

use std::fmt::Write;

use maud::{Markup, html};

use crate::bench::{Counts, Run, Series};

/// Width and height of the drawing, in its own units.
const SIZE: (f64, f64) = (300.0, 44.0);

/// Room for a point at the edges.
const EDGE: f64 = 5.0;

/// The chart of an interval; nothing where it came less than twice.
pub(super) fn chart(series: &Series, runs: &[Run]) -> Markup {
    let Some(spread) = &series.spread else { return html! {} };
    let lines = spread.chart.map(|c| (c.low, c.high)).or(spread.foreseen);
    let (mut low, mut high) = lines.unwrap_or((spread.least, spread.most));
    (low, high) = (low.min(spread.least), high.max(spread.most));
    // A limit of the plan is drawn where it is near what is drawn anyway.
    let near = |at: f64| at > low - 0.5 * (high - low) && at < high + 0.5 * (high - low);
    let bounds = series.limits.map_or([None, None], |l| [Some(l.low.0), Some(l.high.0)]);
    let bounds: Vec<f64> = bounds.into_iter().flatten().filter(|at| near(*at)).collect();
    for at in &bounds {
        (low, high) = (low.min(*at), high.max(*at));
    }
    if high - low < 1e-9 {
        (low, high) = (low - 1.0, high + 1.0);
    }
    let y = |value: f64| EDGE + (SIZE.1 - 2.0 * EDGE) * (high - value) / (high - low);
    let across = (series.points.len().max(2) - 1) as f64;
    let x = |at: usize| EDGE + (SIZE.0 - 2.0 * EDGE) * at as f64 / across;
    let mut path = String::new();
    for (at, point) in series.points.iter().enumerate() {
        let _ = write!(path, "{}{:.1} {:.1}", if at == 0 { "M" } else { "L" }, x(at), y(point.lasted.0));
    }
    let mut dots = String::new();
    let mut odd = String::new();
    for (at, point) in series.points.iter().enumerate() {
        let (x, y) = (x(at), y(point.lasted.0));
        let departs = runs.get(point.run).is_some_and(|r| r.counts == Counts::Departs);
        if departs {
            let _ = write!(odd, "M{:.1} {:.1}l7 7m0 -7l-7 7", x - 3.5, y - 3.5);
        } else if spread.signals.iter().any(|s| s.at == at) {
            let _ = write!(odd, "M{:.1} {:.1}h7v7h-7z", x - 3.5, y - 3.5);
        } else if series.points.len() <= 60 {
            let _ = write!(dots, "M{x:.1} {y:.1}h0");
        }
    }
    let said = format!("{} from run to run, {:.1} to {:.1} s", series.name, spread.least, spread.most);
    html! {
        svg viewBox={ "0 0 " (SIZE.0) " " (SIZE.1) } preserveAspectRatio="none" role="img" aria-label=(said) {
            @for at in &bounds { (level("bound", y(*at))) }
            @if let Some((low, high)) = lines { (level("control", y(low))) (level("control", y(high))) }
            @if let Some(chart) = spread.chart { (level("centre", y(chart.centre))) }
            path.course d=(path) {}
            path.dots d=(dots) {}
            path.odd d=(odd) {}
        }
    }
}

fn level(class: &str, y: f64) -> Markup {
    html! { path class=(class) d={ "M0 " (format!("{y:.1}")) "H" (SIZE.0) } {} }
}
