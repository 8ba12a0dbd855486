//! The comparison as a page that stands alone, in the look of the report's.

mod along;
mod dots;
mod forest;

use maud::{Markup, html};

use self::along::along;
use self::dots::dots;
use self::forest::{Axis, forest};
use super::super::page::document;
use super::super::wording::capitalised;
use super::super::words::counted;
use super::called::Called;
use super::how::how;
use super::text::comes_to;
use super::within::{drifts, odd};
use super::wording::{chance, letter, name, signed, value};
use crate::compare::{Comparison, Measure, Row, Said};

/// The comparison as one HTML file.
#[must_use]
pub fn groups_page(of: &Comparison, called: Called) -> String {
    let differ: Vec<&Row> = of.rows.iter().filter(|r| r.said == Said::Differs).collect();
    let durations: Vec<&Row> =
        of.rows.iter().filter(|r| r.question.measure == Measure::Lasts && r.said != Said::Differs).collect();
    let body = html! {
        header {
            p.soft { "Groups of cycles compared" }
            h1 { (comes_to(of, differ.len())) }
            (groups(of, called))
        }
        main {
            @if !differ.is_empty() {
                section {
                    h2 { "What differs" }
                    p.soft { @if of.pairs.is_empty() { (EXPLAINED) " " } (MARKS) }
                    (questions(of, &differ))
                }
            }
            @for pair in &of.pairs {
                @let [first, second] = pair.groups.map(letter);
                @let own: Vec<&Row> = pair.rows.iter().filter(|r| r.said == Said::Differs).collect();
                section {
                    h2 { (first) " and " (second) }
                    @if !own.is_empty() { p.soft { (EXPLAINED) } }
                    @if own.is_empty() {
                        p { "Nothing is shown to differ between these two." }
                    } @else {
                        (questions_of_pair(of, &own, pair.groups))
                    }
                }
            }
            @if !of.curves.is_empty() {
                section {
                    h2 { "Current along the programme" }
                    p.soft { (ALONG) }
                    @for curves in &of.curves { (along(of, curves)) }
                }
            }
            @for (heading, about, lines) in [
                ("Drifts within a group", "In the order of time, by Mann and Kendall, with how much it comes to by Sen's slope; p is how often chance makes as much of any question.", drifts(of)),
                ("Far from the others of their group", "Look at these first. Real cycles vary more than numbers by chance do, so this says where to look, and not that something is wrong.", odd(of, called)),
            ] {
                @if !lines.is_empty() {
                    section { h2 { (heading) } p.soft { (about) } ul { @for line in &lines { li { (line) } } } }
                }
            }
            @if !durations.is_empty() {
                details {
                    summary { h2 { "How long all else lasts" } }
                    p.soft { "None of these is shown to differ, which does not say that they are alike." }
                    (questions(of, &durations))
                }
            }
            details { summary { h2 { "Every question" } } (table(of)) }
            section { h2 { "How it was done" } @for told in how(of, called) { p { (told.strip_prefix("How: ").map_or_else(|| told.clone(), capitalised)) } } }
        }
    };
    document("comparison", &body)
}

const EXPLAINED: &str = "The bar is where the difference, the second less the first, lies with a confidence of 95 %, the diamond its middle, in percent of what the first has; \
     the dotted line is no difference.";

const MARKS: &str = "Each mark is a cycle, or, where a group has more than 20, a twentieth of its cycles; the stroke is the group's middle.";

const ALONG: &str = "The median of each group. Intervals stand upon each other, each as long as it lasts as a rule. Around B is shaded how far A may be from it by chance: were the \
     groups alike, all of A would lie within it in 95 of 100 comparisons.";

/// Which group is which, with the mark that it has in the pictures.
fn groups(of: &Comparison, called: Called) -> Markup {
    html! {
        ul.groups {
            @for (g, name) in called.names.iter().enumerate() {
                li {
                    (dots::legend(g)) strong { (letter(g as u8)) } ": " (name) ", " (counted(of.cycles[g], "cycle"))
                    " of " (counted(of.nights[g], "night")) " and " (counted(of.machines[g], "machine"))
                    @if of.left_out[g] > 0 { "; " (of.left_out[g]) " left out: cut by the log, only heard, or of no programme" }
                }
            }
            @for (name, counts) in of.programmes.iter().filter(|(_, n)| n.iter().any(|n| *n > 0)) {
                li.soft {
                    @if name.is_empty() { "One programme" } @else { "Programme \u{201c}" (name) "\u{201d}" } ": "
                    @for (g, count) in counts.iter().enumerate() { @if g > 0 { ", " } (count) " in " (letter(g as u8)) }
                }
            }
        }
    }
}

/// Questions with their pictures, in which all groups are.
fn questions(of: &Comparison, rows: &[&Row]) -> Markup {
    let groups: Vec<u8> = (0..of.cycles.len()).map(|g| g as u8).collect();
    pictured(of, rows, &groups)
}

fn questions_of_pair(of: &Comparison, rows: &[&Row], groups: [u8; 2]) -> Markup {
    pictured(of, rows, &groups)
}

fn pictured(of: &Comparison, rows: &[&Row], groups: &[u8]) -> Markup {
    let axis = Axis::of(rows);
    html! {
        ol.compared {
            @for row in rows {
                li {
                    h3 { (name(of, &row.question)) }
                    p.numbers { (told(row)) }
                    (forest(row, axis))
                    (dots(row, groups))
                }
            }
        }
    }
}

/// What a question comes to, in words and numbers.
fn told(row: &Row) -> String {
    let measure = row.question.measure;
    let middles: Vec<String> =
        row.groups.iter().map(|g| g.middle.map_or_else(|| "none".into(), |m| value(measure, m))).collect();
    let shift = row.shift.map_or_else(String::new, |s| format!(": {}", signed(measure, s)));
    let interval = row
        .interval
        .map_or_else(String::new, |(l, h)| format!(" ({} to {})", signed(measure, l), signed(measure, h)));
    format!("{}{shift}{interval}, p {}", middles.join(" \u{2192} "), chance(row.of_any))
}

/// All questions with all numbers.
fn table(of: &Comparison) -> Markup {
    let said = |said| match said {
        Said::Differs => "differs",
        Said::Same => "the same",
        Said::NotShown => "not shown",
        Said::CannotTell => "cannot tell",
    };
    html! {
        div.wide tabindex="0" role="group" aria-label="every question" {
            table {
                caption { "p: of this question alone; of any: of all of them; q: rate of false discoveries" }
                thead { tr {
                    th scope="col" { "question" }
                    @for g in 0..of.cycles.len() { th.n scope="col" { (letter(g as u8)) } }
                    @for what in ["difference", "p", "of any", "q"] { th.n scope="col" { (what) } }
                    th scope="col" { "said" }
                } }
                tbody {
                    @for row in &of.rows {
                        tr {
                            th scope="row" { (name(of, &row.question)) }
                            @for g in &row.groups {
                                td.n { @if let Some(m) = g.middle { (value(row.question.measure, m)) } " (" (g.count) ")" }
                            }
                            td.n { @if let Some(s) = row.shift { (signed(row.question.measure, s)) } }
                            @for p in [row.p, row.of_any, row.q] { td.n { (chance(p)) } }
                            td { (said(row.said)) }
                        }
                    }
                }
            }
        }
    }
}
