//! A page that stands alone: one HTML file for a phone, a laptop and paper, which asks nothing of any network.

mod axis;
mod bands;
mod beside;
mod colour;
mod curve;
mod findings;
mod measured;
mod overview;
mod panel;
mod picture;
mod scale;
mod sheet;
mod summary;
mod tables;

use maud::{DOCTYPE, Markup, PreEscaped, html};

pub use beside::beside;
pub use sheet::Sheet;

use tubtrace_units::{Loads, Seconds};

use super::words::{clock_time, heading, minutes};
use crate::intervals::{Interval, Kind, Measured};
use crate::text::plain;
use picture::Scene;

const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");

/// Points of all curves of a page together: at eight bytes a point, a megabyte.
const POINTS: usize = 120_000;

/// Curves of a picture.
const CURVES: usize = 5;

/// Points of a curve at most, and at least however many pictures there are.
const MOST: usize = 4_000;
const LEAST: usize = 200;

/// Nothing from anywhere else, whatever a label may hold.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:";

const CAUTIONS: &str = "Mains, hot water and flooding can hurt people. Unplug or lock out the supply and prove it dead before a panel \
     comes off; panels back on before power. Local codes and licensed practice come first.";

/// For those who live with the machine.
const AT_HOME: &str = "A leak or a burning smell: switch off at the breaker, shut the water, call.";

/// The page of one log.
#[must_use]
pub fn page(sheet: Sheet) -> String {
    let trace = &sheet.subject.log.trace;
    let name = if trace.label.is_empty() { "log" } else { &trace.label };
    let body = html! {
        header {
            p.soft { (heading(sheet.subject).lines().next().unwrap_or_default()) }
            h1 { (summary::sentence(sheet)) }
            p.caution { strong { "Caution: " } (AT_HOME) " " (CAUTIONS) }
        }
        main { (log(sheet, sheet.subject.cycles.len())) (measured::measured(sheet)) }
    };
    document(name, &body)
}

/// Everything of one log: overview, findings, cycles. The points are shared among so many pictures.
fn log(sheet: Sheet, pictures: usize) -> Markup {
    let count = sheet.subject.cycles.len();
    html! {
        @if count > 1 {
            section { h2 { (sheet.titled("overview")) } (overview::overview(sheet)) }
        }
        @if count == 0 { (recorded(sheet)) }
        (found(sheet))
        @for i in 0..count { (cycle(sheet, i, pictures)) }
    }
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
    let which: Vec<usize> = (0..all.len()).filter(|i| all[*i].has_to_tell()).collect();
    html! {
        @if !which.is_empty() {
            section {
                h2 { (sheet.titled("findings")) }
                @for i in which {
                    @let (id, title) = (sheet.id(i), title(sheet, i));
                    (findings::findings(sheet.scene(i, &id, &title, MOST), &all[i]))
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
    html! {
        section.cycle id={ "cycle-" (id) } {
            h2 { (title) }
            (picture::figure(scene))
            (tables::intervals(scene, &sheet.subject.cycles[i]))
        }
    }
}

/// "Cycle 4, 01:11:24, 97 min"
fn title(sheet: Sheet, i: usize) -> String {
    let cycle = &sheet.subject.cycles[i];
    let start = clock_time(&sheet.subject.log.trace, cycle.start());
    sheet.titled(&format!("cycle {}, {start}, {}", i + 1, minutes(cycle.duration())))
}

/// The whole file. What could steer or turn around the text is taken out here, of all names, labels and causes at once.
fn document(name: &str, body: &Markup) -> String {
    let document = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                link rel="icon" href="data:,";
                title { (name) " \u{2013} tubtrace report" }
                style { (PreEscaped(colour::variables())) (PreEscaped(STYLE)) }
            }
            body {
                (body)
                footer { p { "Made by tubtrace " (env!("CARGO_PKG_VERSION")) " from a clip-on logger's record. " (CAUTIONS) } }
                script { (PreEscaped(SCRIPT)) }
            }
        }
    };
    plain(&document.into_string())
}
