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
use crate::compare::{Change, Group, NotSeen, Observed, Row, Said, changes};
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
    let (mut all, mut judged): (Vec<Observed>, Vec<&Judged>) = (Vec::new(), Vec::new());
    for (group, sheet) in [(0, before), (1, after)] {
        let volts = sheet.subject.log.trace.nominal.volts;
        for (cycle, own) in sheet.subject.cycles.iter().zip(sheet.judged) {
            all.push(Observed { cycle, group, machine: 0, log: usize::from(group), volts, began: 0.0 });
            judged.push(own);
        }
    }
    let changes = changes(&all, &judged);
    let several = changes.iter().any(|c| c.programme != changes[0].programme);
    html! {
        @if !changes.is_empty() {
            section {
                h2 { "Interval by interval" }
                p.soft { (EXPLAINED) }
                div.wide tabindex="0" role="group" aria-label="intervals before and after" {
                    table {
                        caption { "How long each interval lasted" }
                        (head(&[Words("interval"), Words("expected"), Number("before"), Number("after"), Number("longer by"), Words("differs")]))
                        tbody { @for change in &changes { (row(change, several)) } }
                    }
                }
            }
        }
    }
}

const EXPLAINED: &str = "The median, and in brackets of how many cycles. \u{201c}Longer by\u{201d}: the middle of all differences between a cycle after and one before, and where it lies with a confidence of 95 %. \u{201c}Yes\u{201d}: were nothing changed, chance would call any interval of this table different in 5 of 100 repairs at most; p is how often it makes as much of any. \u{201c}Not shown\u{201d} is not the same as alike, and fewer than four cycles before and after cannot tell.";

fn row(change: &Change, several: bool) -> Markup {
    let limits =
        change.lasts.map_or_else(|| "open".to_owned(), |l| format!("{} to {}", lasts(l.low), lasts(l.high)));
    let [before, after] = change.groups.map(middle);
    html! {
        tr {
            th scope="row" { @if several { (change.programme) ": " } (change.name) }
            td { (limits) }
            td.n { (before) }
            td.n { (after) }
            td.n { (change.row.as_ref().map_or_else(String::new, longer)) }
            td {
                @match &change.row {
                    Some(row) if row.said == Said::Differs => { strong { "yes" } " (p " (format!("{:.3}", row.of_any.max(0.001))) ")" },
                    Some(row) if row.said == Said::NotShown => "not shown",
                    Some(_) => "cannot tell",
                    None if change.groups.iter().all(|g| g.count > 0) => "cannot tell",
                    None => "",
                }
            }
        }
    }
}

/// How much longer it lasts after, with its interval where there are enough for one.
fn longer(row: &Row) -> String {
    let shift = row.shift.map_or_else(String::new, |s| format!("{s:+.1} s"));
    row.interval.map_or_else(|| shift.clone(), |(low, high)| format!("{shift} ({low:+.1} to {high:+.1})"))
}

fn middle(group: Group) -> String {
    match (group.middle, group.count) {
        (None, _) => "\u{2013}".to_owned(),
        (Some(middle), 1) => lasts(Seconds(middle)),
        (Some(middle), count) => format!("{} ({count})", lasts(Seconds(middle))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On a phone there is room for both columns where each log has one cycle.
    #[test]
    fn one_value_is_told_without_its_number() {
        assert_eq!(middle(Group { middle: Some(278.0), count: 1 }), "4:38");
        assert_eq!(middle(Group { middle: Some(100.0), count: 3 }), "1:40 (3)");
        assert_eq!(middle(Group { middle: None, count: 0 }), "\u{2013}");
    }
}
