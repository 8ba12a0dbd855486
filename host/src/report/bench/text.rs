//! The test for people.

use std::fmt::Write;

use super::super::style::{ALERT, FINE, HEAD};
use super::super::words::{counted, wrapped};
use super::told::Bench;
use super::words::{
    LIVE_BENCH, came_to, comes_to, departures, fault, limits, not_covered, rate, room, seconds, signals,
    verdict, which,
};
use crate::bench::{Counts, Run, Series, Verdict};
use crate::text::harmless;

/// The test for people.
#[must_use]
pub fn bench_text(of: Bench) -> String {
    let a = of.assessment;
    let mut text = wrapped(of.width, LIVE_BENCH, "Caution: ", "         ");
    let style = if a.verdict == Verdict::Passed { FINE } else { ALERT };
    let _ = writeln!(
        text,
        "\n{HEAD}{}{HEAD:#}: {style}{}{style:#}",
        harmless(&of.plan.control),
        verdict(a.verdict)
    );
    for paragraph in [Some(comes_to(of)), Some(rate(of)), fault(of)].into_iter().flatten() {
        text.push_str(&wrapped(of.width, &paragraph, "", ""));
    }
    text.push('\n');
    for p in &a.programmes {
        let parts = [(p.departing, "departing"), (p.doubtful, "in doubt")];
        let parts: String =
            parts.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!(", {n} {what}")).collect();
        let told =
            format!("{}: {} wanted, {} clean{parts}", harmless(&p.name), counted(p.wanted, "run"), p.clean);
        text.push_str(&wrapped(of.width, &told, "  ", "    "));
    }
    if a.repeated > 0 {
        let told = format!("Found in two logs, counted once: {}", counted(a.repeated, "run"));
        text.push_str(&wrapped(of.width, &told, "  ", "    "));
    }
    let told: Vec<(usize, &Run)> =
        a.runs.iter().enumerate().filter(|(_, r)| r.counts != Counts::Clean).collect();
    if !told.is_empty() {
        let _ = writeln!(text, "\n{HEAD}Runs that are no pass{HEAD:#}");
    }
    for (number, run) in told {
        text.push_str(&one_run(of, number, run));
    }
    text.push_str(&intervals(of));
    let said: Vec<String> = a.series.iter().flat_map(signals).collect();
    if !said.is_empty() {
        let _ = writeln!(text, "\n{HEAD}Charts that signal: look there; it is no failure by itself{HEAD:#}");
        said.iter().for_each(|line| text.push_str(&wrapped(of.width, line, "  ", "  ")));
    }
    let covered = format!("Not covered by this test: {}.", not_covered(of).join("; "));
    text + "\n" + &wrapped(of.width, &covered, "", "")
}

fn one_run(of: Bench, number: usize, run: &Run) -> String {
    let which = which(of, number);
    if run.counts != Counts::Departs {
        let said = came_to(of, run).unwrap_or_default();
        return wrapped(of.width, &format!("{which}: {said}"), "  ", "    ");
    }
    let told = departures(of, run);
    let told = told.iter().map(|sentence| wrapped(of.width, sentence, "    - ", "      "));
    format!("  {ALERT}{which} departs{ALERT:#}\n") + &told.collect::<String>()
}

/// A table of the intervals.
fn intervals(of: Bench) -> String {
    let series = &of.assessment.series;
    let names: Vec<String> = series.iter().map(|s| harmless(&s.name)).collect();
    let wide = names.iter().map(|n| n.chars().count()).max().unwrap_or(0).clamp(8, 23);
    let cut = |name: &str| name.chars().take(wide).collect::<String>();
    let mut text = format!(
        "\n{HEAD}{:<wide$}  {:>10} {:>3} {:>6} {:>6} {:>6} {:>5} {:>7} {:>12}{HEAD:#}\n",
        "seconds", "limits", "n", "least", "median", "most", "SD", "Cpk", "interval"
    );
    let several = of.assessment.programmes.len() > 1;
    let mut last = "";
    for (one, name) in series.iter().zip(&names) {
        if several && last != one.programme {
            last = &one.programme;
            let _ = writeln!(text, "{}", harmless(last));
        }
        let _ = write!(text, "{:<wide$}  {:>10} {:>3} ", cut(name), limits(one), one.points.len());
        let Some(spread) = &one.spread else {
            let _ = writeln!(
                text,
                "{}",
                one.points.first().map_or_else(String::new, |p| format!("{:>6}", seconds(p.lasted.0)))
            );
            continue;
        };
        let _ = write!(
            text,
            "{:>6} {:>6} {:>6} {:>5}",
            seconds(spread.least),
            seconds(spread.median),
            seconds(spread.most),
            seconds(spread.deviation)
        );
        if let Some(c) = spread.capability {
            let (cpk, interval) = room(c);
            let interval = interval.map_or_else(String::new, |interval| format!(" {interval:>12}"));
            let _ = write!(text, " {cpk:>7}{interval}");
        }
        text.push('\n');
    }
    let cold: Vec<&Series> = series.iter().filter(|s| s.cold.is_some()).collect();
    if !cold.is_empty() {
        let outside = cold.iter().filter(|s| {
            let seen = s.spread.as_ref().map(|spread| (spread.least, spread.most));
            s.cold
                .zip(seen)
                .is_some_and(|(cold, (least, most))| cold.lasted.0 < least || cold.lasted.0 > most)
        });
        let outside: Vec<String> = outside
            .map(|s| format!("{} {:.1}", harmless(&s.name), s.cold.map_or(0.0, |c| c.lasted.0)))
            .collect();
        let said = match outside.is_empty() {
            true => {
                "The first, cold run is in none of these numbers; no interval of it is outside of the others."
                    .to_owned()
            }
            false => format!(
                "The first, cold run is in none of these numbers. Outside of the others in it: {}.",
                outside.join(", ")
            ),
        };
        text.push_str(&wrapped(of.width, &said, "", ""));
    }
    text
}
