//! The table of intervals on the page.

use maud::{Markup, html};

use super::chart::chart;
use super::told::Bench;
use super::words::{limits, percent, room, seconds};
use crate::bench::{Series, Spread};

/// A row for each interval, under its programme where there are several.
pub(super) fn table(of: Bench) -> Markup {
    let a = of.assessment;
    let several = a.programmes.len() > 1;
    html! {
        table.intervals {
            thead { tr {
                th scope="col" { "Seconds" }
                @for head in ["limits", "n", "least", "median", "most", "SD"] { th.n scope="col" { (head) } }
                th.n scope="col" { "Cpk (" (percent(of.plan.confidence)) ")" }
                th.n scope="col" { "logger" }
                th.n scope="col" { "cold" }
                th scope="col" { "run after run" }
            } }
            @for programme in &a.programmes {
                tbody {
                    @if several { tr { th.programme colspan="11" scope="rowgroup" { (programme.name) } } }
                    @for series in a.series.iter().filter(|s| s.programme == programme.name) { (row(of, series)) }
                }
            }
        }
    }
}

fn row(of: Bench, series: &Series) -> Markup {
    let number =
        |value: fn(&Spread) -> f64| series.spread.as_ref().map(|s| seconds(value(s))).unwrap_or_default();
    let spread = series.spread.as_ref();
    html! {
        tr {
            th scope="row" { (series.name) }
            td.n { (limits(series)) }
            td.n { (series.points.len()) }
            td.n { (number(|s| s.least)) }
            td.n { (number(|s| s.median)) }
            td.n { (number(|s| s.most)) }
            td.n { (number(|s| s.deviation)) }
            td.n {
                @if let Some(c) = spread.and_then(|s| s.capability) {
                    @let (cpk, interval) = room(c);
                    (cpk) @if let Some(interval) = interval { " " span.soft { (interval) } }
                }
            }
            td.n { @if let Some(s) = spread { (percent(s.gauge)) @if s.too_tight { " !" } } }
            td.n { @if let Some(cold) = series.cold { (seconds(cold.lasted.0)) } }
            td.chart { (chart(series, &of.assessment.runs)) }
        }
    }
}
