//! The page that is printed and signed. Nothing on it depends on where or when it was made, so that it can be made again and compared.

use maud::{Markup, html};

use super::super::page::file;
use super::super::wording::capitalised;
use super::super::words::counted;
use super::table::table;
use super::told::Bench;
use super::words::{
    LIVE_BENCH, came_to, comes_to, departures, fault, not_covered, percent, rate, sign, signals, verdict,
    which,
};
use crate::bench::{Counts, Run, Verdict};

const STYLE: &str = include_str!("bench.css");

/// Lines of a list for which the first page has room.
const LINES: usize = 5;

/// Logs whose digests stand on the page one by one; of more, that of their list.
const LISTED: usize = 4;

/// The page of a test.
#[must_use]
pub fn bench_page(of: Bench) -> String {
    let a = of.assessment;
    let class = match a.verdict {
        Verdict::Passed => "passed",
        Verdict::Failed => "failed",
        Verdict::NotEnough => "open",
    };
    let body = html! {
        main class=(class) {
            header {
                div.verdict { span.sign aria-hidden="true" { (sign(a.verdict)) } " " (verdict(a.verdict)) }
                div {
                    h1 { "Bench test of control " (of.plan.control) }
                    p { strong { (comes_to(of)) } " " (rate(of)) }
                    @if let Some(fault) = fault(of) { p { (fault) } }
                }
            }
            (identity(of))
            (table(of))
            p.legend {
                "Line: run after run. Dotted: centre; dashed: what chance reaches (3 SD; before 15 runs, where the next is foreseen); solid: limits of this test, where near. "
                "Square: a chart signals; cross: the run departs. logger: part of the variance that is the logger\u{2019}s own; ! where limits are closer than it can tell. "
                "cold: the first run, in no other number."
            }
            (lists(of))
            (made_of(of))
            div.sign-here { span { "Tested by" } span { "Date" } span { "Signature" } }
            p.caution { strong { "Caution: " } (LIVE_BENCH) }
        }
        @if a.departing() > 0 { (departing(of)) }
    };
    file(&format!("Bench test of {}", of.plan.control), STYLE, "", &body)
}

fn identity(of: Bench) -> Markup {
    let plan = of.plan;
    let how = [
        plan.dummy.then_some("dummy loads"),
        plan.stepped.then_some("stepped by hand: order and loads alone"),
    ];
    let how: Vec<&str> = how.into_iter().flatten().collect();
    let began = |run: Option<&Run>| {
        run.and_then(|r| r.found.began).map(|at| at.strftime("%Y-%m-%d %H:%M UTC").to_string())
    };
    let runs = &of.assessment.runs;
    html! {
        dl.identity {
            @for (name, said) in [("customer", &plan.customer), ("complaint", &plan.complaint), ("repair", &plan.repair)] {
                @if let Some(said) = said { div { dt { (name) } dd { (said) } } }
            }
            div { dt { "held against" } dd { (of.machine) @for how in how { "; " (how) } } }
            @if let Some((first, last)) = began(runs.first()).zip(began(runs.last())) {
                div { dt { "runs began" } dd { (first) " to " (last) } }
            }
            @for p in &of.assessment.programmes {
                div { dt { (p.name) } dd {
                    (counted(p.wanted, "run")) " wanted, " (p.clean) " clean"
                    @if p.departing > 0 { ", " (p.departing) " departing" }
                    @if p.doubtful > 0 { ", " (p.doubtful) " in doubt" }
                } }
            }
        }
    }
}

/// What charts signal, what is no pass and no failure, and what is not covered.
fn lists(of: Bench) -> Markup {
    let a = of.assessment;
    let signals: Vec<String> = a.series.iter().flat_map(signals).collect();
    let open: Vec<String> = a
        .runs
        .iter()
        .enumerate()
        .filter(|(_, r)| matches!(r.counts, Counts::Doubt(_) | Counts::Other))
        .map(|(i, run)| format!("{}: {}", which(of, i), came_to(of, run).unwrap_or_default()))
        .collect();
    html! {
        div.lists {
            @if !signals.is_empty() { (some("Charts that signal: look there; no failure by itself", &signals)) }
            @if !open.is_empty() { (some("Runs that do not count", &open)) }
            section { h2 { "Not covered by this test" } p { (capitalised(&not_covered(of).join("; "))) "." } }
        }
    }
}

/// As many lines as there is room for.
fn some(title: &str, lines: &[String]) -> Markup {
    html! {
        section {
            h2 { (title) }
            ul {
                @for line in lines.iter().take(LINES) { li { (line) } }
                @if lines.len() > LINES { li { "and " (lines.len() - LINES) " more (--json has all)" } }
            }
        }
    }
}

/// What it was made of, so that it can be checked again.
fn made_of(of: Bench) -> Markup {
    html! {
        section.made {
            h2 { "Made of" }
            table {
                @for input in of.files { tr { th scope="row" { (input.name) } td { code { (input.digest) } } } }
                @if of.logs.len() <= LISTED {
                    @for input in of.logs { tr { th scope="row" { (input.name) } td { code { (input.digest) } } } }
                } @else {
                    tr { th scope="row" { (counted(of.logs.len(), "log")) ", their list" } td { code { (of.list()) } } }
                }
            }
            p.soft {
                "SHA-256, by tubtrace " (env!("CARGO_PKG_VERSION")) " at " (percent(of.plan.confidence)) " confidence. To check this page against the files: "
                code { "tubtrace bench PLAN LOGS --verify PAGE" }
            }
        }
    }
}

/// The second page: what departed, and when.
fn departing(of: Bench) -> Markup {
    let runs = of.assessment.runs.iter().enumerate().filter(|(_, r)| r.counts == Counts::Departs);
    html! {
        section.departing {
            h2 { "What departed: control " (of.plan.control) }
            ol {
                @for (number, run) in runs {
                    li value=(number + 1) {
                        strong { (capitalised(&which(of, number))) }
                        ul { @for sentence in departures(of, run) { li { (sentence) } } }
                    }
                }
            }
        }
    }
}
