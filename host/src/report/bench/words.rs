//! What is said of a test, in the same words on a terminal and on its page.

use super::super::wording::{headline, in_doubt, list, sentence, unknown_in_short};
use super::super::words::counted;
use super::told::Bench;
use crate::bench::statistics::{Answer, Capability, Rule};
use crate::bench::{Counts, Doubt, Run, Series, Verdict};
use crate::intervals::Lacks;
use crate::text::harmless;

/// Before anything else: what can hurt at a bench whose covers are off.
pub(super) const LIVE_BENCH: &str = "A live bench can kill. Feed it through an isolation transformer and, on its mains side, a residual-current device (RCD, GFCI): behind the \
     transformer it does not protect. Discharge capacitors before you touch. Never work on it alone. Local codes and licensed people come first.";

/// The verdict in capitals.
pub(super) const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Passed => "PASS",
        Verdict::Failed => "FAIL",
        Verdict::NotEnough => "NOT ENOUGH RUNS",
    }
}

/// The same as a sign that is told without colour.
pub(super) const fn sign(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Passed => "\u{2713}",
        Verdict::Failed => "\u{2717}",
        Verdict::NotEnough => "\u{2026}",
    }
}

/// "95 %", "99.9 %".
pub(super) fn percent(part: f64) -> String {
    let digits = usize::from(!(0.1..=0.99).contains(&part));
    let written = format!("{:.digits$}", 100.0 * part);
    format!("{} %", written.strip_suffix(".0").unwrap_or(&written))
}

/// What it comes to, in a sentence.
pub(super) fn comes_to(of: Bench) -> String {
    let a = of.assessment;
    let (clean, departing) = (a.clean(), a.departing());
    match a.verdict {
        Verdict::Passed => format!("{} within their limits, none departs.", counted(clean, "run")),
        Verdict::Failed => {
            format!(
                "{departing} of {} {}.",
                counted(clean + departing, "run"),
                if departing == 1 { "departs" } else { "depart" }
            )
        }
        Verdict::NotEnough => match (a.wanted(), a.lacking()) {
            (Some(wanted), Some(lacking)) => format!(
                "{clean} of {} within their limits, none departs; {lacking} more needed.",
                counted(wanted, "run")
            ),
            _ => format!(
                "{}, and no number of them would show that this fault is gone.",
                counted(clean, "clean run")
            ),
        },
    }
}

/// How often it fails at most.
pub(super) fn rate(of: Bench) -> String {
    let (a, sure) = (of.assessment, percent(of.plan.confidence));
    let clean = a.clean();
    match a.rate {
        Some((low, high)) => format!(
            "It failed in {} of {}; at {sure} confidence it fails in {} to {} of all.",
            a.departing(),
            counted(clean + a.departing(), "run"),
            percent(low),
            percent(high)
        ),
        None if clean == 0 => "No clean run yet, so nothing is known of how often it fails.".into(),
        None => format!(
            "{}: at {sure} confidence it fails less often than once in {:.1} runs.",
            counted(clean, "clean run"),
            1.0 / a.at_most
        ),
    }
}

/// What the original fault asks for; nothing where the plan does not say what it looked like.
pub(super) fn fault(of: Bench) -> Option<String> {
    let (original, shown) = of.plan.fault.as_ref().zip(of.assessment.fault.as_ref())?;
    let mut said = format!(
        "Original fault: {}, in {} of {} before the repair.",
        original.kind,
        original.found,
        counted(original.before, "run")
    );
    if shown.again.is_empty() {
        said += &format!(
            " Had nothing changed, {} would come by chance in {} of tests.",
            counted(of.assessment.clean(), "clean run"),
            percent(shown.by_chance)
        );
    } else {
        let runs: Vec<String> = shown.again.iter().map(|run| (run + 1).to_string()).collect();
        said += &format!(" It came again: run {}.", list(&runs));
    }
    said += &match (shown.needed, shown.if_known) {
        (Some(needed), Some(known)) if known < needed => format!(
            " {needed} clean runs show that it is gone ({known} if it were certain that it came in {} of {}).",
            original.found, original.before
        ),
        (Some(needed), _) => format!(" {} would show that it is gone.", counted(needed, "clean run")),
        (None, _) => " No number of clean runs would show that it is gone.".into(),
    };
    if let Some((runs, answer)) = shown.clear {
        let what = if answer == Answer::Good { "seldom enough" } else { "too often" };
        said += &format!(
            " Asked after each run (Wald), it was clear after {} that it fails {what}.",
            counted(runs, "run")
        );
    }
    Some(said)
}

/// Which run it is: its number, its log and when it began.
pub(super) fn which(of: Bench, number: usize) -> String {
    let run = &of.assessment.runs[number];
    let log = of.logs.get(run.found.log).map_or_else(String::new, |log| harmless(&log.name));
    let began =
        run.found.began.map_or_else(String::new, |at| at.strftime(", %Y-%m-%d %H:%M UTC").to_string());
    let cold = if run.cold { ", cold" } else { "" };
    format!("run {} ({log}{began}{cold})", number + 1)
}

/// What a run comes to, in a line; nothing of one that is clean.
pub(super) fn came_to(of: Bench, run: &Run) -> Option<String> {
    let judged = run.found.judged;
    Some(match run.counts {
        Counts::Clean => return None,
        Counts::Departs => {
            let first = judged.findings.first().map_or_else(String::new, headline);
            let more = judged.findings.len().saturating_sub(1);
            if more == 0 { first } else { format!("{first}; and {more} more") }
        }
        Counts::Doubt(Doubt::Cut(Lacks::Start)) => "not seen whole: its log begins within it".into(),
        Counts::Doubt(Doubt::Cut(Lacks::End)) => "not seen whole: its log ends within it".into(),
        Counts::Doubt(Doubt::Cut(Lacks::Minutes)) => "not seen whole: minutes of it are missing".into(),
        Counts::Doubt(Doubt::Unseen) => "its current was not metered".into(),
        Counts::Doubt(Doubt::TooClose) => {
            let first = judged.undecided.first().map_or_else(String::new, |f| in_doubt(f, of.units));
            format!("too close to call: {first}")
        }
        Counts::Other => match (unknown_in_short(judged), run.programme()) {
            (None, Some(programme)) => format!("another programme: {}", harmless(programme)),
            (Some(unknown), _) => unknown.to_owned(),
            (None, None) => "of no programme that is known".into(),
        },
    })
}

/// All that departs in a run, a sentence each.
pub(super) fn departures(of: Bench, run: &Run) -> Vec<String> {
    run.found.judged.findings.iter().map(|f| sentence(f, of.units)).collect()
}

/// What of an interval's chart looks like more than chance, and whether the logger can tell its limits apart: a line, or nothing.
pub(super) fn signals(series: &Series) -> Option<String> {
    let spread = series.spread.as_ref()?;
    let run = |point: usize| series.points[point].run + 1;
    let mut said: Vec<String> = Vec::new();
    for rule in Rule::ALL {
        let mut at = spread.signals.iter().filter(|s| s.rule == rule).map(|s| run(s.at));
        let Some(first) = at.next() else { continue };
        let more = at.count();
        let more = if more == 0 { String::new() } else { format!(" and {more} more") };
        said.push(format!("{} (run {first}{more})", rule.words()));
    }
    if let Some(at) = [spread.drifts, spread.sums].into_iter().flatten().min() {
        said.push(format!("drifts (run {} on)", run(at)));
    }
    if spread.too_tight {
        said.push("limits closer together than the logger can tell".into());
    }
    (!said.is_empty()).then(|| format!("{}: {}", harmless(&series.name), said.join(", ")))
}

/// Room within the limits; what is far more than enough has no interval.
pub(super) fn room(capability: Capability) -> (String, Option<String>) {
    if capability.cpk > PLENTY {
        return (format!("over {PLENTY:.0}"), None);
    }
    let Capability { cpk, low, high } = capability;
    (format!("{cpk:.2}"), Some(format!("{low:.2} to {high:.2}")))
}

/// Beyond this nobody asks by how much.
const PLENTY: f64 = 10.0;

/// What this test does not cover.
pub(super) fn not_covered(of: Bench) -> Vec<&'static str> {
    let mut all = vec![
        "programmes that were not run",
        "loads, mains voltage and temperatures other than those of these runs",
        "insulation, earth and leakage, which are tested with instruments made for that",
        "whatever is not switched through the lead that was clamped",
        "a fault that comes more seldom than is said above",
    ];
    if of.plan.dummy {
        all.push("water: dummy loads move none");
    }
    if of.plan.stepped {
        all.push("how long anything lasts: each interval was cut short by hand");
    }
    all
}

/// A time in seconds, as a table has it.
pub(super) fn seconds(value: f64) -> String {
    format!("{value:.1}")
}

/// The limits of an interval, as a table has them.
pub(super) fn limits(series: &Series) -> String {
    series.limits.map_or_else(|| "none".to_owned(), |l| format!("{:.0} to {:.0}", l.low.0, l.high.0))
}
