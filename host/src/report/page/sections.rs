//! The sections of one log: overview, findings, cycles.

use maud::{Markup, html};
use tubtrace_units::{Loads, Seconds};

use super::super::paper::explained;
use super::super::words::{clock_time, minutes};
use super::picture::Scene;
use super::sheet::Sheet;
use super::{answer, findings, overview, picture, tables};
use crate::findings::Judged;
use crate::intervals::{Interval, Kind, Measured};
use crate::loads::Posterior;

/// Points of all curves of a page together: at eight bytes a point, a megabyte.
const POINTS: usize = 120_000;

/// Curves of a picture.
const CURVES: usize = 5;

/// Points of a curve at most, and at least however many pictures there are.
const MOST: usize = 4_000;

const LEAST: usize = 200;

/// Everything of one log: what is the matter, overview, findings, cycles. The points are shared among so many pictures.
pub(super) fn log(sheet: Sheet, pictures: usize) -> Markup {
    let count = sheet.subject.cycles.len();
    html! {
        (answer::answers(sheet))
        @if count > 1 {
            section { h2 { (sheet.titled("overview")) } (overview::overview(sheet)) }
        }
        @if count == 0 { (recorded(sheet)) }
        (found(sheet))
        @let shown = sheet.shown();
        @if shown.len() < count {
            p.soft {
                "Of " (count) " cycles " (shown.len()) " are shown here: of what departs, and a few that do not. "
                "For all of them: tubtrace report --all."
            }
        }
        @for i in in_order(sheet, shown) { (cycle(sheet, i, pictures)) }
    }
}

/// What departs before what does not, each in order of time.
fn in_order(sheet: Sheet, mut shown: Vec<usize>) -> Vec<usize> {
    shown.sort_by_key(|i| !sheet.verdicts().get(*i).is_some_and(Judged::departs));
    shown
}

/// What was recorded where no cycle is in it: somebody wants to see why.
fn recorded(sheet: Sheet) -> Markup {
    let trace = &sheet.subject.log.trace;
    let whole = Interval {
        kind: Kind::Pause,
        loads: Loads::NONE,
        start: Seconds(0.0),
        end: trace.duration(),
        certainty: 1.0,
        states: Posterior::default(),
        water: 0,
        measured: Measured::default(),
    };
    let title = sheet.titled("what was recorded");
    let id = format!("{}recorded", sheet.role);
    let scene = Scene {
        subject: sheet.subject,
        intervals: &[whole],
        judged: None,
        id: &id,
        picture: &id,
        title: &title,
        most: MOST,
    };
    html! { section { h2 { (title) } (picture::figure(scene)) } }
}

/// The findings of all cycles.
fn found(sheet: Sheet) -> Markup {
    let all = sheet.verdicts();
    let options = |i: usize| sheet.options.get(i).and_then(Option::as_ref);
    let which: Vec<usize> =
        (0..all.len()).filter(|i| all[*i].has_to_tell() || options(*i).is_some()).collect();
    let shown = sheet.shown();
    html! {
        @if !which.is_empty() {
            section {
                h2 { (sheet.titled("findings")) }
                @for i in which {
                    @let (id, title) = (sheet.id(i), title(sheet, i));
                    (findings::findings(sheet.scene(i, &id, &title, MOST), &sheet.subject.cycles[i], &all[i], shown.contains(&i)))
                    @if let Some(options) = options(i) { p.soft { (explained(i + 1, options)) } }
                }
            }
        }
    }
}

/// One cycle: its picture and its table.
fn cycle(sheet: Sheet, i: usize, pictures: usize) -> Markup {
    let (id, title) = (sheet.id(i), title(sheet, i));
    let most = (POINTS / CURVES / pictures.max(1)).clamp(LEAST, MOST);
    let scene = sheet.scene(i, &id, &title, most);
    let whole = html! {
        (picture::figure(scene))
        (tables::intervals(scene, &sheet.subject.cycles[i]))
    };
    // What is healthy is looked at by whom it interests.
    let folded = pictures > 1 && sheet.verdicts().get(i).is_some_and(|judged| !judged.departs());
    html! {
        section.cycle id={ "cycle-" (id) } {
            @if folded {
                details { summary { h2 { (title) } } (whole) }
            } @else {
                h2 { (title) }
                (whole)
            }
        }
    }
}

/// "Cycle 4, 01:11:24, 97 min"
pub(super) fn title(sheet: Sheet, i: usize) -> String {
    let cycle = &sheet.subject.cycles[i];
    let start = clock_time(&sheet.subject.log.trace, cycle.start());
    sheet.titled(&format!("cycle {}, {start}, {}", i + 1, minutes(cycle.duration())))
}
