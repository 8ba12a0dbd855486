//! A repair's before and after, side by side.

use maud::{Markup, html};
use tubtrace_units::Seconds;

use super::super::wording::headline;
use super::super::words::{heading, lasts};
use super::document::{AT_HOME, CAUTIONS, document};
use super::measured::measured;
use super::picture::{Scene, figure};
use super::sections::{log, title};
use super::sheet::Sheet;
use super::summary;
use super::tables::Head::{Number, Words};
use super::tables::head;
use crate::compare::{Change, NotSeen, Spread, changes};
use crate::findings::Judged;

/// Points of a curve of the two pictures at the top.
const POINTS: usize = 1_500;

/// The page of two logs; each is called by its role.
#[must_use]
pub fn beside(before: Sheet, after: Sheet) -> String {
    let pictures = before.shown().len() + after.shown().len() + 2;
    let body = html! {
        header {
            @for sheet in [before, after] {
                p.soft { (sheet.titled(heading(sheet.subject).lines().next().unwrap_or_default())) }
            }
            h1 {
                @for sheet in [before, after] { span.half { (sheet.titled(&summary::sentence(sheet))) } " " }
            }
            p.caution { strong { "Caution: " } (AT_HOME) " " (CAUTIONS) }
        }
        main {
            (became(before, after))
            section { h2 { "Side by side" } div.pair { (typical(before)) (typical(after)) } }
            (compared(before, after))
            @for sheet in [before, after] { (log(sheet, pictures)) }
            @for sheet in [before, after] { (measured(sheet)) }
        }
    };
    document("before and after", &body)
}

/// What became of each kind of finding.
fn became(before: Sheet, after: Sheet) -> Markup {
    let (had, has) = (told(before), told(after));
    let mut all: Vec<&String> = had.iter().map(|(what, _)| what).collect();
    all.extend(has.iter().map(|(what, _)| what).filter(|what| !had.iter().any(|(h, _)| h == *what)));
    let count =
        |list: &[(String, usize)], what: &str| list.iter().find(|(w, _)| w == what).map_or(0, |(_, n)| *n);
    html! {
        @if !all.is_empty() {
            section {
                h2 { "What became of it" }
                div.wide tabindex="0" role="group" aria-label="findings before and after" {
                    table {
                        caption { "Findings before and after" }
                        (head(&[Words("finding"), Number("cycles before"), Number("cycles after"), Words("result")]))
                        tbody {
                            @for what in all {
                                @let (was, is) = (count(&had, what), count(&has, what));
                                tr {
                                    th scope="row" { (what) }
                                    td.n { (was) " of " (before.judged.len()) }
                                    td.n { (is) " of " (after.judged.len()) }
                                    td { (fate(was, is, before.judged.len(), after.judged.len())) }
                                }
                            }
                        }
                    }
                }
                @if after.chart.is_none() {
                    p.soft { "No chart was given: what came after is taken as good, and only what was before is held against it." }
                }
            }
        }
    }
}

/// Whether a finding has gone, or has only not come yet.
fn fate(was: usize, is: usize, before: usize, after: usize) -> Markup {
    let not_seen = NotSeen { found: was, before, after };
    html! {
        @match (was, is) {
            (_, 0) if not_seen.is_gone() => { span.fine { "gone" } },
            (_, 0) => {
                strong { "not seen" } ": with nothing repaired that would be so in "
                (format!("{:.0}", 100.0 * not_seen.by_chance())) " of 100"
                @if let Some(enough) = not_seen.enough() { "; gone, if " (enough) " cycles are without it" }
            },
            (0, _) => { strong.alert { "new" } },
            _ => { strong.alert { "still there" } },
        }
    }
}

/// The findings of a log by their headline, with how many cycles have each.
fn told(sheet: Sheet) -> Vec<(String, usize)> {
    let mut all: Vec<(String, usize)> = Vec::new();
    for judged in sheet.verdicts() {
        let mut own: Vec<String> = judged.findings.iter().map(headline).collect();
        own.sort();
        own.dedup();
        for what in own {
            match all.iter_mut().find(|(w, _)| *w == what) {
                Some((_, count)) => *count += 1,
                None => all.push((what, 1)),
            }
        }
    }
    all
}

/// The picture of the cycle that tells most: the first that departs, or the first.
fn typical(sheet: Sheet) -> Markup {
    let first = sheet.verdicts().iter().position(Judged::departs).unwrap_or(0);
    html! {
        div {
            @if sheet.subject.cycles.is_empty() {
                p { (sheet.titled("no cycle")) }
            } @else {
                @let (id, title) = (sheet.id(first), title(sheet, first));
                h3 { (title) }
                (figure(Scene { picture: &format!("{}-first", sheet.role), ..sheet.scene(first, &id, &title, POINTS) }))
            }
        }
    }
}

/// The intervals of the chart, before and after.
fn compared(before: Sheet, after: Sheet) -> Markup {
    let changes = changes(before.judged, after.judged);
    html! {
        @if !changes.is_empty() {
            section {
                h2 { "Interval by interval" }
                p.soft { "The median, and in brackets the least and the most, and of how many. \u{201c}Apart\u{201d}: no value of one is within the other's." }
                div.wide tabindex="0" role="group" aria-label="intervals before and after" {
                    table {
                        caption { "How long each interval lasted" }
                        (head(&[Words("interval"), Words("expected"), Number("before"), Number("after"), Words("differs")]))
                        tbody { @for change in &changes { (row(change)) } }
                    }
                }
            }
        }
    }
}

fn row(change: &Change) -> Markup {
    let limits =
        change.lasts.map_or_else(|| "open".to_owned(), |l| format!("{} to {}", lasts(l.low), lasts(l.high)));
    html! {
        tr {
            th scope="row" { (change.name) }
            td { (limits) }
            td.n { (spread(change.before)) }
            td.n { (spread(change.after)) }
            td {
                @match change.apart() {
                    Some(true) => strong { "apart" },
                    Some(false) => "overlaps",
                    None => "",
                }
            }
        }
    }
}

fn spread(spread: Option<Spread<Seconds>>) -> String {
    match spread {
        None => "\u{2013}".to_owned(),
        Some(s) if s.count == 1 => lasts(s.median),
        Some(s) => format!("{} ({} to {}; {})", lasts(s.median), lasts(s.least), lasts(s.most), s.count),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On a phone there is room for both columns where each log has one cycle.
    #[test]
    fn one_value_is_told_once() {
        let of = |least: f64, most: f64, count| {
            let [median, least, most] = [least.midpoint(most), least, most].map(Seconds);
            spread(Some(Spread { median, least, most, count }))
        };
        assert_eq!(of(278.0, 278.0, 1), "4:38");
        assert_eq!(of(90.0, 110.0, 3), "1:40 (1:30 to 1:50; 3)");
        assert_eq!(spread(None), "\u{2013}");
    }
}
