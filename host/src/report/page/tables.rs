//! The intervals of a cycle as a table, beside what the chart has.

use maud::{Markup, html};

use super::super::timeline::{is_unsure, volumes, water};
use super::super::wording::capitalised;
use super::super::words::{clock_time, lasts};
use super::picture::Scene;
use crate::chart::Limits;
use crate::findings::Placed;
use crate::intervals::{Cycle, Interval, Kind};
use crate::trace::Meter;

/// The head of a column.
#[derive(Clone, Copy, Debug)]
pub(super) enum Head {
    /// Of words, which begin at the left.
    Words(&'static str),
    /// Of numbers, which end at the right.
    Number(&'static str),
}

use Head::{Number, Words};

/// The head of a table, which is there again on every sheet of paper.
pub(super) fn head(columns: &[Head]) -> Markup {
    html! {
        thead {
            tr {
                @for column in columns {
                    @match column {
                        Words(what) => th scope="col" { (what) },
                        Number(what) => th.n scope="col" { (what) },
                    }
                }
            }
        }
    }
}

/// The table, and how much water there was.
pub(super) fn intervals(scene: Scene, cycle: &Cycle) -> Markup {
    let trace = &scene.subject.log.trace;
    let placed = scene.judged.map_or(&[][..], |j| &j.placed);
    let drawn = if trace.meter == Meter::Current { "amps" } else { "watts" };
    let mut columns = vec![Words("from"), Number("lasts"), Words("does"), Words("loads"), Number(drawn)];
    columns.extend(wet(scene).then_some(Number("water")));
    columns.extend((!placed.is_empty()).then_some(Words("expected")));
    columns.push(Number("confidence"));
    html! {
        div.wide tabindex="0" role="group" aria-label={ "table of " (scene.title) } {
            table.intervals id={ "table-" (scene.id) } {
                caption { "Intervals" }
                (head(&columns))
                tbody { @for interval in scene.intervals { (row(scene, interval, placed)) } }
            }
        }
        @let volumes = volumes(cycle, scene.subject);
        @if !volumes.is_empty() {
            ul.soft { @for volume in volumes { li { (capitalised(&volume)) } } }
        }
    }
}

fn row(scene: Scene, i: &Interval, placed: &[Placed]) -> Markup {
    let trace = &scene.subject.log.trace;
    let gap = i.kind == Kind::Gap;
    let drawn = match trace.meter {
        _ if gap => String::new(),
        Meter::Current => format!("{:.2}", i.measured.amps.0),
        Meter::Power => format!("{:.0}", i.measured.power.0),
    };
    html! {
        tr class=[new_water(scene, i).then_some("fresh")] {
            th scope="row" { (clock_time(trace, i.start)) }
            td.n { (lasts(i.duration())) }
            td.does { i class={ "k-" (i.kind) } {} (i.kind) @if is_unsure(i) { "?" } }
            td.loads { @if gap { "no readings" } @else { (i.loads) } }
            td.n.drawn data-unit=(if trace.meter == Meter::Current { "A" } else { "W" }) { (drawn) }
            @if wet(scene) { td.n.water { (water(i, scene.subject.units)) } }
            @if !placed.is_empty() { td.expected { (expected(i, placed)) } }
            td.n.sure { @if !gap { (format!("{:.0} %", 100.0 * i.certainty)) } }
        }
    }
}

/// Whether there are temperatures.
fn wet(scene: Scene) -> bool {
    !scene.subject.log.trace.temperatures.is_empty()
}

/// Whether this is the first interval of another water.
fn new_water(scene: Scene, interval: &Interval) -> bool {
    let before = scene.intervals.iter().take_while(|i| i.start < interval.start).last();
    before.is_some_and(|b| b.water != interval.water)
}

/// What the chart calls the interval that begins here, and how long it has it last.
fn expected(interval: &Interval, placed: &[Placed]) -> String {
    let Some(found) = placed.iter().find(|p| p.start == interval.start) else { return String::new() };
    let limits = found
        .expected
        .lasts
        .map_or_else(String::new, |Limits { low, high }| format!(", {} to {}", lasts(low), lasts(high)));
    found.expected.name.clone() + &limits
}
