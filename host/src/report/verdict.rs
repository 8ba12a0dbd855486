//! The verdict: which cycles depart, how, and what to measure first.

use std::fmt::Write;

use tubtrace_units::Seconds;

use super::answer::{Answer, Measured, answers};
use super::nothing::nothing_found;
use super::paper::explained;
use super::strip::{legend, strip};
use super::style::{ALERT, FAINT, FINE, HEAD};
use super::subject::{Subject, Verdict};
use super::wording::{
    as_far, following, groups, headline, held_against, in_doubt, likewise, open_values, reach, sentence,
    sure, unknown_in_short, unusual, when,
};
use super::words::{clock_time, heading, minutes, wrapped};
use crate::alignment::{Hypothesis, RunnerUp};
use crate::compare::OTHERS;
use crate::diagnosis::Quiet;
use crate::findings::{Judged, Known, Outcome, Severity};
use crate::log::Log;
use crate::text::harmless;

/// Everything: what is the matter and what to do, or that nothing was found; the overview; then each cycle that departs.
#[must_use]
pub fn verdict(verdict: Verdict) -> String {
    let (mut text, width) = (String::new(), verdict.subject.width);
    if verdict.judged.iter().any(Judged::departs) {
        text.push_str(&comes_to(verdict));
        for (i, answer) in answers(verdict.diagnoses, verdict.causes).iter().enumerate() {
            text.push_str(&told(i + 1, answer, width));
        }
    } else if !verdict.judged.is_empty() {
        let nothing = nothing_found(&Quiet::of(verdict.subject.cycles), verdict.judged);
        let customer = format!("For the customer: \u{201c}{}\u{201d}", nothing.customer);
        for paragraph in nothing.paragraphs.iter().chain([&customer]) {
            text.push_str(&wrapped(width, paragraph, "", ""));
        }
    }
    text.push('\n');
    text.push_str(&format!("{}\n\n{}", heading(verdict.subject), overview(verdict)));
    for (i, judged) in verdict.judged.iter().enumerate() {
        if judged.has_to_tell() {
            text.push_str(&cycle(verdict, i, judged));
        }
    }
    for (i, options) in verdict.options.iter().enumerate() {
        if let Some(options) = options {
            let _ = write!(text, "\n{}", wrapped(width, &explained(i + 1, options), "", "  "));
        }
    }
    if verdict.subject.strip.is_some() && verdict.outcome() == Outcome::Departs {
        text.push_str(&format!("\n{}", legend()));
    }
    text
}

/// How many cycles depart.
fn comes_to(verdict: Verdict) -> String {
    let departing = verdict.judged.iter().filter(|j| j.departs()).count();
    let depart = if departing == 1 { "departs" } else { "depart" };
    let told = match verdict.judged.len() {
        1 => "The cycle departs".to_owned(),
        cycles => format!("{departing} of {cycles} cycles {depart}"),
    };
    format!("{HEAD}{told}.{HEAD:#}\n")
}

/// One thing that is the matter.
fn told(number: usize, answer: &Answer, width: usize) -> String {
    let mut text = String::from("\n");
    text.push_str(&wrapped(width, &answer.headline, &format!("{number}. "), "   "));
    let mut line = |label: &str, what: &str| {
        let first = format!("   {label:<9}");
        text.push_str(&wrapped(width, what, &first, &" ".repeat(12)));
    };
    line("found", &answer.found);
    for (i, suspect) in answer.suspects.iter().enumerate() {
        if i > 0 {
            line("or", &suspect.what);
        }
        if !suspect.speaks_for.is_empty() {
            line("for", &suspect.speaks_for);
        }
        if !suspect.against.is_empty() {
            line("against", &suspect.against);
        }
    }
    for (label, step) in [("first", &answer.first), ("then", &answer.then)] {
        let Some(Measured { what, signs }) = step else { continue };
        line(label, what);
        for (seen, means) in signs {
            line("", &format!("- {seen}: {means}"));
        }
    }
    if !answer.caution.is_empty() {
        line("caution", &answer.caution);
    }
    line("customer", &format!("\u{201c}{}\u{201d}", answer.customer));
    text
}

/// A line for each cycle.
#[must_use]
pub fn overview(verdict: Verdict) -> String {
    let mut text = held_to(verdict);
    let width = verdict.subject.width;
    let trace = &verdict.subject.log.trace;
    for (i, (cycle, judged)) in verdict.subject.cycles.iter().zip(verdict.judged).enumerate() {
        let start = clock_time(trace, cycle.start());
        let _ = write!(text, "  {:>2}  {start}  {:>9}  ", i + 1, minutes(cycle.duration()));
        match (judged.findings.first(), unknown_in_short(judged)) {
            (None, Some(unknown)) => {
                let _ = writeln!(text, "{unknown}{}", as_far(cycle, trace));
            }
            (None, None) => {
                let open = open_values(judged);
                let _ = writeln!(
                    text,
                    "{FINE}within{FINE:#}{}{open}{}",
                    as_far(cycle, trace),
                    programme(verdict, judged)
                );
            }
            (Some(first), _) => {
                let short: String = shortened(&headline(first), width.saturating_sub(36));
                let slight = judged.severity() == Some(Severity::Slight);
                let departs = if slight { "departs" } else { "DEPARTS" };
                let _ = writeln!(text, "{ALERT}{departs}{ALERT:#}  {short}");
            }
        }
    }
    let mut said: Vec<String> = Vec::new();
    // Where nothing was compared, the heading says so already.
    let any = verdict.judged.iter().any(|j| j.outcome() != Outcome::Unknown);
    let told = verdict.judged.iter().zip(verdict.subject.cycles);
    let told = told.filter(|(judged, _)| any || judged.known != Known::Alone);
    for why in told.filter_map(|(judged, cycle)| reach(judged, cycle)) {
        if !said.contains(&why) {
            let _ = write!(text, "\n{}", wrapped(width, &why, "", ""));
            said.push(why);
        }
    }
    text
}

/// What the cycles were held against, and how many of them match it.
fn held_to(verdict: Verdict) -> String {
    let count = |outcome| verdict.judged.iter().filter(|j| j.outcome() == outcome).count();
    let (within, open) = (count(Outcome::Within), count(Outcome::Unknown));
    let compared = verdict.judged.len() - open;
    let open = if open == 0 { String::new() } else { format!("; {open} not compared") };
    let others = verdict.chart == OTHERS;
    let (what, them) = match others {
        true if compared == 0 => {
            return format!(
                "{HEAD}No machine file or chart, and no cycle has three others like it to compare with{HEAD:#}\n\n"
            );
        }
        true => ("No machine file or chart: each cycle is held against the others".to_owned(), "the others"),
        false => (format!("Held against: {}", harmless(verdict.chart)), "it"),
    };
    let matching = match (compared, within) {
        (0, _) => "no cycle could be compared with it".to_owned(),
        (1, 0) => format!("1 cycle, which does not match {them}{open}"),
        (1, _) => format!("1 cycle, which matches {them}{open}"),
        _ => format!("{within} of {compared} cycles match {them}{open}"),
    };
    format!("{HEAD}{what}{HEAD:#}\n{matching}\n\n")
}

/// A line that is cut where there is no more room for it, at a word.
fn shortened(text: &str, room: usize) -> String {
    if text.chars().count() <= room {
        return text.to_owned();
    }
    let cut: String = text.chars().take(room.saturating_sub(4)).collect();
    let whole = cut.rsplit_once(' ').map_or(&*cut, |(whole, _)| whole);
    format!("{whole} ...")
}

/// Of which programme it is, where the machine has several.
fn programme(verdict: Verdict, judged: &Judged) -> String {
    if judged.programme == verdict.chart {
        String::new()
    } else {
        format!(": {}", harmless(&judged.programme))
    }
}

fn cycle(verdict: Verdict, index: usize, judged: &Judged) -> String {
    let cycle = &verdict.subject.cycles[index];
    let Subject { log: Log { trace, .. }, units, width, .. } = verdict.subject;
    let (start, end) = (clock_time(trace, cycle.start()), clock_time(trace, cycle.end()));
    let mut text = format!("\n{HEAD}Cycle {}   {start} to {end}{HEAD:#}\n", index + 1);
    if let Some(columns) = verdict.subject.strip {
        let groups = groups(judged.standing());
        let mut signs: Vec<(Seconds, String)> =
            groups.iter().enumerate().map(|(i, g)| (g[0].start, (i + 1).to_string())).collect();
        signs.sort_by(|a, b| a.0.total_cmp(&b.0));
        text.push_str(&strip(trace, cycle, columns, &signs));
    }
    for (i, group) in groups(judged.standing()).iter().enumerate() {
        let first = group[0];
        let head = format!("{}{}", sentence(first, units), sure(first.certainty));
        text.push_str(&wrapped(width, &head, &format!(" {}. ", i + 1), "    "));
        if let Some(others) = likewise(group) {
            text.push_str(&wrapped(width, &others, "    ", "    "));
        }
        if let Some(follows) = following(judged, group, units) {
            text.push_str(&wrapped(width, &follows, "    follows: ", "             "));
        }
        let at = format!("At {}.", when(first, trace, units));
        let _ = writeln!(text, "    {FAINT}{at}{FAINT:#}");
    }
    for group in groups(&judged.undecided) {
        let first = group[0];
        let doubt = in_doubt(first, units);
        text.push_str(&wrapped(width, &doubt, " ?  ", "    "));
        if let Some(others) = likewise(&group) {
            text.push_str(&wrapped(width, &others, "    ", "    "));
        }
    }
    for group in groups(&judged.unusual) {
        text.push_str(&wrapped(width, &unusual(judged, &group, units), " -  unusual: ", "    "));
    }
    for group in groups(&judged.differs) {
        text.push_str(&wrapped(width, &sentence(group[0], units), " -  differs: ", "    "));
        if let Some(others) = likewise(&group) {
            text.push_str(&wrapped(width, &others, "    ", "    "));
        }
    }
    if let Some(odds) = held_against(judged) {
        text.push_str(&wrapped(width, &odds, "    ", "    "));
    }
    text.push_str(&rival(verdict, judged));
    text
}

/// What the cycle was taken for, where it may as well be something else.
fn rival(verdict: Verdict, judged: &Judged) -> String {
    let explanation = &judged.explanation;
    let otherwise =
        |next: &RunnerUp| next.hypothesis != explanation.hypothesis && explanation.probability < SURE;
    let Some(next) = explanation.runner_up.filter(otherwise) else {
        return String::new();
    };
    let what = |hypothesis| match hypothesis {
        Hypothesis::Whole => "it ran through its programme",
        Hypothesis::BeganAgain(_) => "it broke off and began again",
        Hypothesis::BrokeOff => "it broke off",
    };
    let begins = explanation.phases.get(next.from).filter(|_| next.from > 0).map(|phase| phase.start);
    let begins = begins
        .map_or_else(String::new, |at| format!(", from {} on", clock_time(&verdict.subject.log.trace, at)));
    let (own, other) = (100.0 * explanation.probability, 100.0 * next.probability);
    wrapped(
        verdict.subject.width,
        &format!(
            "{own:.0} % probable that {}; {other:.0} % that {}{begins}.",
            what(explanation.hypothesis),
            what(next.hypothesis),
        ),
        "    ",
        "    ",
    )
}

/// An explanation that is less probable than this is told beside the next best.
const SURE: f64 = 0.8;
