//! A night at a glance: its cycles one below the other, and the odd one out.

use maud::{Markup, html};
use tubtrace_units::Seconds;

use super::super::wording::{as_far, headline, open_values, unknown_in_short};
use super::super::words::{clock_time, minutes};
use super::axis::Extent;
use super::bands::legend;
use super::sheet::Sheet;
use super::tables::Head::{Number, Words};
use super::tables::head;
use crate::findings::Judged;
use crate::intervals::Cycle;

/// The cycles, each from its own beginning, all at one scale.
pub(super) fn overview(sheet: Sheet) -> Markup {
    let (cycles, shown) = (sheet.subject.cycles, sheet.shown());
    let longest = cycles.iter().map(Cycle::duration).fold(Seconds(1.0), Seconds::max);
    let mut columns = vec![Words("cycle"), Words("begins"), Number("lasts"), Words("what it did")];
    columns.extend((!sheet.verdicts().is_empty()).then_some(Words("verdict")));
    html! {
        div.wide tabindex="0" role="group" aria-label="cycles" {
            table.overview {
                caption { "Cycles, each from its beginning" }
                (head(&columns))
                tbody {
                    @for (i, cycle) in cycles.iter().enumerate() {
                        @let judged = sheet.verdicts().get(i);
                        tr class=[judged.is_some_and(Judged::departs).then_some("odd")] {
                            th scope="row" {
                                @if shown.contains(&i) { a href={ "#cycle-" (sheet.id(i)) } { (i + 1) } } @else { (i + 1) }
                            }
                            td { (clock_time(&sheet.subject.log.trace, cycle.start())) }
                            td.n { (minutes(cycle.duration())) }
                            td.did { @if shown.contains(&i) { (row(cycle, longest)) } }
                            @if let Some(judged) = judged { td.verdict { (verdict(sheet, i, judged)) } }
                        }
                    }
                }
            }
        }
        (legend(shown.iter().flat_map(|i| &cycles[*i].intervals), &[]))
    }
}

fn verdict(sheet: Sheet, i: usize, judged: &Judged) -> Markup {
    html! {
        @if let Some(first) = judged.findings.first() {
            strong.alert { "departs" } ": " a href={ "#findings-" (sheet.id(i)) } { (headline(first)) }
        } @else if let Some(unknown) = unknown_in_short(judged) {
            (unknown) (as_far(&sheet.subject.cycles[i], &sheet.subject.log.trace))
        } @else {
            span.fine { "within" } (as_far(&sheet.subject.cycles[i], &sheet.subject.log.trace))
            @if !judged.undecided.is_empty() {
                a href={ "#findings-" (sheet.id(i)) } { (open_values(judged)) }
            }
        }
    }
}

fn row(cycle: &Cycle, longest: Seconds) -> Markup {
    let span = Extent { from: cycle.start(), to: cycle.start() + longest };
    html! {
        div.row aria-hidden="true" {
            @for i in &cycle.intervals {
                span class={ "band k-" (i.kind) } style=(span.place(i.start, i.end).style) {}
            }
        }
        span.read { (cycle.intervals.len()) " intervals, in the table of the cycle" }
    }
}
