//! The verdict: which cycles depart, how, and what to measure first.

use std::fmt::Write;

use textwrap::Options;
use tubtrace_units::Seconds;

use super::style::{ALERT, FAINT, FINE, HEAD};
use super::words::{clock_time, harmless, heading, minutes};
use super::{Verdict, WIDTH};
use crate::alignment::{Rival, Story};
use crate::findings::{Departure, Finding, Judged};

/// Everything: the overview, then each cycle that departs.
#[must_use]
pub fn verdict(verdict: Verdict) -> String {
    let mut text = format!("{}\n\n{}", heading(verdict.subject), overview(verdict));
    for (i, judged) in verdict.judged.iter().enumerate() {
        if !judged.findings.is_empty() || !judged.undecided.is_empty() {
            text.push_str(&cycle(verdict, i, judged));
        }
    }
    text
}

/// A line for each cycle.
#[must_use]
pub fn overview(verdict: Verdict) -> String {
    let departing = verdict.judged.iter().filter(|j| !j.findings.is_empty()).count();
    let within = verdict.judged.len() - departing;
    let mut text =
        format!("{HEAD}Chart: {}{HEAD:#}\n{within} within it, {departing} not\n\n", harmless(verdict.chart));
    let trace = &verdict.subject.log.trace;
    for (i, (cycle, judged)) in verdict.subject.cycles.iter().zip(verdict.judged).enumerate() {
        let start = clock_time(trace, cycle.start());
        let _ = write!(text, "  {:>2}  {start}  {:>9}  ", i + 1, minutes(cycle.duration()));
        match judged.findings.first() {
            None => {
                let as_far = match (cycle.cut_at_start, cycle.cut_at_end) {
                    (false, false) => "",
                    (true, _) => ", as far as seen: it begins before the log",
                    (false, true) => ", as far as seen: it ends after the log",
                };
                let open = match judged.undecided.len() {
                    0 => String::new(),
                    n => format!("; {n} of it cannot be told"),
                };
                let _ = writeln!(text, "{FINE}within{FINE:#}{as_far}{open}");
            }
            Some(first) => {
                let short: String = headline(first).chars().take(WIDTH - 37).collect();
                let _ = writeln!(text, "{ALERT}DEPARTS{ALERT:#}  {short}");
            }
        }
    }
    text
}

fn cycle(verdict: Verdict, index: usize, judged: &Judged) -> String {
    let cycle = &verdict.subject.cycles[index];
    let trace = &verdict.subject.log.trace;
    let (start, end) = (clock_time(trace, cycle.start()), clock_time(trace, cycle.end()));
    let mut text = format!("\n{HEAD}Cycle {}   {start} to {end}{HEAD:#}\n", index + 1);
    if judged.is_foreign() {
        text.push_str(&wrapped(
            "This cycle fits the chart so poorly that it may be another programme or another machine; compare before anything is opened.",
            "  ",
            "  ",
        ));
    }
    for (i, group) in groups(&judged.findings).iter().enumerate() {
        let first = group[0];
        let head = format!("{}{}", sentence(first), sure(first.certainty));
        text.push_str(&wrapped(&head, &format!(" {}. ", i + 1), "    "));
        if let Some(others) = likewise(group) {
            text.push_str(&wrapped(&others, "    ", "    "));
        }
        let at = format!("At {}, measured to within {}.", clock_time(trace, first.start), plain(first));
        let _ = writeln!(text, "    {FAINT}{at}{FAINT:#}");
        for (n, suspect) in first.advice.suspects.iter().enumerate() {
            let lead = if n == 0 { "    may be   " } else { "             " };
            text.push_str(&wrapped(&suspect.text, lead, "             "));
        }
        text.push_str(&wrapped(&first.advice.next, "    next     ", "             "));
        text.push_str(&wrapped(&first.advice.caution, "    caution  ", "             "));
    }
    for group in groups(&judged.undecided) {
        let first = group[0];
        let doubt = format!("{} Measured to within {}: cannot be told.", sentence(first), plain(first));
        text.push_str(&wrapped(&doubt, " ?  ", "    "));
        if let Some(others) = likewise(&group) {
            text.push_str(&wrapped(&others, "    ", "    "));
        }
    }
    text.push_str(&rival(verdict, judged));
    text
}

/// What the cycle was taken for, where it may as well be something else.
fn rival(verdict: Verdict, judged: &Judged) -> String {
    let explanation = &judged.explanation;
    let otherwise = |next: &Rival| next.story != explanation.story && explanation.probability < SURE;
    let Some(next) = explanation.next_best.filter(otherwise) else {
        return String::new();
    };
    let as_what = |story| match story {
        Story::Whole => "as one programme",
        Story::BeganAgain(_) => "as one that broke off and began again",
        Story::BrokeOff => "as one that broke off",
    };
    let at = explanation.acts.get(next.from).map_or(Seconds(0.0), |act| act.start);
    wrapped(
        &format!(
            "Taken {}: {:.0} % probable. Taken {}, from {} on: {:.0} %.",
            as_what(explanation.story),
            100.0 * explanation.probability,
            as_what(next.story),
            clock_time(&verdict.subject.log.trace, at),
            100.0 * next.probability,
        ),
        "    ",
        "    ",
    )
}

/// An explanation that is less probable than this is told beside the next best.
const SURE: f64 = 0.8;

/// Findings of one kind about one kind of interval are told once.
fn groups(findings: &[Finding]) -> Vec<Vec<&Finding>> {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    for finding in findings {
        let same = |g: &&mut Vec<&Finding>| g[0].departure == finding.departure && g[0].does == finding.does;
        match groups.iter_mut().find(same) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    groups
}

/// Where else.
fn likewise(group: &[&Finding]) -> Option<String> {
    let (first, others) = group.split_first()?;
    match others.len() {
        0 => None,
        1 if others[0].interval == first.interval => Some("And once more.".into()),
        n if others.iter().all(|o| o.interval == first.interval) => Some(format!("And {n} times more.")),
        _ => {
            let names: Vec<String> = others.iter().map(|f| harmless(&f.interval)).collect();
            Some(format!("Likewise: {}.", names.join(", ")))
        }
    }
}

/// What departs, in a few words.
fn headline(f: &Finding) -> String {
    let name = harmless(&f.interval);
    match f.departure {
        Departure::LogEnds => "the log ends in the middle: the logger's battery is empty".into(),
        Departure::CurrentFaint => {
            "water is heard through a whole run, and hardly any current is seen".into()
        }
        Departure::CurrentNever => "water is heard through a whole run, and no current is seen".into(),
        Departure::OutOfScale => "everything draws several times what it does in the other runs".into(),
        Departure::Clips => "the current is at the end of the clamp's range".into(),
        Departure::CurrentGone => "water is heard, and no current is seen".into(),
        Departure::SupplyDeaf => "it fills, and nothing is heard in the supply line".into(),
        Departure::DrainDeaf => "it drains, and nothing is heard in the hose".into(),
        Departure::ClipOpen => format!("{name}: reads nothing"),
        Departure::ClipStill => format!("{name}: does not follow the water"),
        Departure::NoSupplyFlow => "the fill valve is on, and no water is heard".into(),
        Departure::PumpSilent => "water has come, and the wash pump does not run".into(),
        Departure::NeverDrains => "it washes, and never drains".into(),
        Departure::DrainStaysOn => "the drain pump does not stop".into(),
        Departure::MainsLow => "the mains is low for a while".into(),
        Departure::Dips => "everything stops for a moment, and goes on".into(),
        Departure::DropsOut => "the wash pump stops again and again".into(),
        Departure::Opened => "everything stops in the middle, and goes on".into(),
        Departure::Chatters => "the wash pump goes off and on as it starts".into(),
        Departure::SlowStart => "the wash pump takes long to come up to speed".into(),
        Departure::StaysOn => format!("{name}: stays on where it should not be"),
        Departure::DispensesLess => "the dispenser is not on when it should be".into(),
        Departure::Hammers => "the inlet valve shuts with a blow".into(),
        Departure::Siphons => "water leaves with the drain pump off".into(),
        Departure::FlowsBack => "water is heard in the hose after a drain".into(),
        Departure::EmptiesLate => "water is heard to the end of the drain".into(),
        Departure::HeatCycles => "the heater goes off and on within a hold".into(),
        Departure::HeatAtEnd => "the heater is on at the very end".into(),
        Departure::Unsteady => "the wash pump's power wanders".into(),
        Departure::BeganAgain => "broke off and began again".into(),
        Departure::BrokeOff => "broke off and did not go on".into(),
        Departure::PumpStalls => "the wash pump starts and does not run".into(),
        Departure::NoDrainFlow => format!("{name}: pump runs, no water is heard"),
        Departure::FlowWhenOff => "water is heard with the valve off".into(),
        Departure::SupplyCold => format!("{name}: supply water is cold"),
        Departure::SupplyHot => format!("{name}: supply water is too hot"),
        Departure::InflowLow => "less water comes in a minute than heat balance shows as a rule".into(),
        Departure::InflowHigh => "more water comes in a minute than heat balance shows as a rule".into(),
        Departure::NoHeat => format!("{name}: no heat"),
        Departure::CurrentLow => format!("{name}: draws too little"),
        Departure::CurrentHigh => format!("{name}: draws too much"),
        Departure::HoldNotReached => format!("{name}: never warm enough"),
        Departure::NeverPurged => format!("{name}: never purges"),
        Departure::PurgedTooOften => format!("{name}: purges too often"),
        Departure::TooLong => format!("{name}: takes too long"),
        Departure::LeftOut => format!("{name}: all of it is missing"),
        Departure::Missing => format!("{name}: missing"),
        Departure::TooShort => format!("{name}: too short"),
        Departure::Extra => format!("{name}: not in the chart"),
    }
}

/// The same with its numbers.
fn sentence(f: &Finding) -> String {
    let expected = match f.expected {
        (Some(low), Some(high)) if low == high => format!("{low}"),
        (Some(low), Some(high)) => format!("{low} to {high}"),
        (Some(low), None) => format!("at least {low}"),
        (None, Some(high)) => format!("at most {high}"),
        (None, None) => "no limit".into(),
    };
    let head = capitalised(&headline(f));
    match f.departure {
        Departure::BeganAgain | Departure::BrokeOff | Departure::LeftOut | Departure::Missing => {
            format!("{head}.")
        }
        Departure::NoHeat => format!("{head}: the heater draws nothing."),
        Departure::PumpStalls => format!("{head}: {}.", f.measured),
        Departure::NeverPurged => format!("{head}; the chart has it {expected}."),
        Departure::Extra | Departure::LogEnds | Departure::CurrentGone => format!("{head}: {}.", f.measured),
        _ => format!("{head}: {}, chart {expected}.", f.measured),
    }
}

fn capitalised(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

fn sure(certainty: f64) -> &'static str {
    if certainty >= 0.95 {
        ""
    } else if certainty >= 0.8 {
        " (likely)"
    } else {
        " (perhaps: the loads cannot be told with certainty)"
    }
}

fn plain(f: &Finding) -> String {
    match f.uncertainty {
        crate::findings::Quantity::Temperature(c) => format!("{:.1} °C", c.0),
        crate::findings::Quantity::Count(_) => "one count".into(),
        other => other.to_string(),
    }
}

fn wrapped(text: &str, first: &str, rest: &str) -> String {
    let options = Options::new(WIDTH).initial_indent(first).subsequent_indent(rest);
    textwrap::fill(text, options) + "\n"
}
