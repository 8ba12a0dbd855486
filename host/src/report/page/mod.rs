//! A page that stands alone: one HTML file for a phone, a laptop and paper, which asks nothing of any network.

mod answer;
mod axis;
mod bands;
mod beside;
mod colour;
mod curve;
mod cutout;
mod document;
mod findings;
mod measured;
mod overview;
mod panel;
mod picture;
mod scale;
mod sections;
mod sheet;
mod summary;
mod tables;

use maud::html;

pub use beside::beside;
use document::{AT_HOME, CAUTIONS};
pub(super) use document::{document, file};
pub(super) use scale::{HEIGHT, Scale, written};
use sections::log;
pub use sheet::Sheet;

use super::words::heading;
use crate::compare::OTHERS;

/// The page of one log.
#[must_use]
pub fn page(sheet: Sheet) -> String {
    let trace = &sheet.subject.log.trace;
    let name = if trace.label.is_empty() { "log" } else { &trace.label };
    let body = html! {
        header {
            p.soft { (heading(sheet.subject).lines().next().unwrap_or_default()) }
            @for (name, said) in sheet.subject.job.lines() { p.soft { (name) ": " (said) } }
            h1 { (summary::sentence(sheet)) }
            @match sheet.chart {
                Some(OTHERS) => p.soft { "No chart: each cycle is held against the others." },
                Some(chart) => p.soft { "Held against: " (chart) },
                None => {}
            }
            p.caution { strong { "Caution: " } (AT_HOME) " " (CAUTIONS) }
        }
        main { (log(sheet, sheet.shown().len())) (measured::measured(sheet)) }
    };
    document(name, &body)
}
