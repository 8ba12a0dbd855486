//! What is the matter and what to do, before all else on the page: first for the customer, then for who repairs it.

use maud::{Markup, html};

use super::super::answer::{Answer, Measured, answers as answers_of};
use super::super::nothing::nothing_found;
use super::sheet::Sheet;
use crate::diagnosis::Quiet;

/// The diagnoses of a log, or that nothing was found; nothing where it was held against nothing.
pub(super) fn answers(sheet: Sheet) -> Markup {
    let answers: Vec<Answer> = answers_of(sheet.diagnoses, sheet.causes);
    let verdicts = sheet.verdicts();
    html! {
        @if !answers.is_empty() {
            (customer(sheet, answers.iter().map(|a| a.customer.as_str())))
            section.answer {
                h2 { (sheet.titled("what is the matter")) }
                ol { @for answer in &answers { li { (one(answer)) } } }
            }
        } @else if !verdicts.is_empty() {
            @let nothing = nothing_found(&Quiet::of(sheet.subject.cycles), verdicts);
            (customer(sheet, [nothing.customer.as_str()].into_iter()))
            section.answer {
                h2 { (sheet.titled(nothing.title)) }
                @for paragraph in &nothing.paragraphs { p { (paragraph) } }
            }
        }
    }
}

/// What to tell the customer, each thing once.
fn customer<'a>(sheet: Sheet, told: impl Iterator<Item = &'a str>) -> Markup {
    let mut once: Vec<&str> = Vec::new();
    for said in told {
        if !once.contains(&said) {
            once.push(said);
        }
    }
    html! {
        section.customer {
            h2 { (sheet.titled("for the customer")) }
            @for said in once { p { (said) } }
        }
    }
}

fn one(answer: &Answer) -> Markup {
    html! {
        p.what { strong { (answer.headline) } }
        dl {
            dt { "found" }
            dd { (answer.found) }
            @for (i, suspect) in answer.suspects.iter().enumerate() {
                @if i > 0 { dt { "or" } dd { (suspect.what) } }
                @if !suspect.speaks_for.is_empty() { dt { "for" } dd { (suspect.speaks_for) } }
                @if !suspect.against.is_empty() { dt { "against" } dd { (suspect.against) } }
            }
            @for (label, step) in [("first", &answer.first), ("then", &answer.then)] {
                @if let Some(Measured { what, signs }) = step {
                    dt { (label) }
                    dd { (what) ul { @for (seen, means) in signs { li { (seen) ": " (means) } } } }
                }
            }
            @if !answer.caution.is_empty() { dt { "caution" } dd { (answer.caution) } }
        }
    }
}
