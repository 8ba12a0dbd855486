//! Findings in words, the same on every page.

use super::units::Units;
use super::words::{clock_time, of_cycles};
use crate::chart::is_of_few;
use crate::checks::Numbers;
use crate::checks::constants::TOLD_FROM;
use crate::compare::OTHERS;
use crate::findings::{Finding, Judged, Known, Quantity};
use crate::intervals::{Cycle, Lacks, hidden_ends};
use crate::text::harmless;
use crate::trace::Trace;

/// How far what is said of a cycle reaches, where its programme is not known, or from few cycles; nothing of others.
pub(super) fn reach(judged: &Judged, cycle: &Cycle) -> Option<String> {
    match judged.known {
        Known::Yes if is_of_few(judged.seen) => Some(format!(
            "\"{}\" was learned from {}, so its limits are wide: what is only a little off would not have been seen.",
            harmless(&judged.programme),
            of_cycles(judged.seen),
        )),
        Known::Yes => None,
        Known::Like => Some(format!(
            "Not a programme that is known of this machine, but like \"{}\". What a choice of another programme explains is no fault; \
             all else is held against that one.",
            harmless(&judged.programme)
        )),
        Known::Unknown if cycle.lacks().is_some() => Some(
            "Too much of it is missing to tell which programme it is of. Only what can be said without one is told."
                .to_owned(),
        ),
        Known::Unknown => Some(
            "Not a programme that is known of this machine: perhaps another one was chosen. Only what can be said without one \
             is told."
                .to_owned(),
        ),
        Known::Alone => Some(
            "Without a machine file or a chart, a cycle that has not three others of its programme has nothing to be compared with: only \
             what can be said without one is told."
                .to_owned(),
        ),
    }
}

/// The same in a few words.
pub(super) fn unknown_in_short(judged: &Judged) -> Option<&'static str> {
    match judged.known {
        Known::Yes => None,
        Known::Like => Some("programme not known, but like another"),
        Known::Unknown => Some("programme not known"),
        Known::Alone if judged.unusual.is_empty() => Some("nothing found"),
        Known::Alone => Some("nothing found but what is unusual"),
    }
}

/// How sure it is that what departs is held against the right programme; nothing of a cycle that departs from none.
pub(super) fn held_against(judged: &Judged) -> Option<String> {
    let which = match judged.programme.as_str() {
        OTHERS => "the programme of the other cycles".to_owned(),
        programme => format!("\"{}\"", harmless(programme)),
    };
    let odds = judged.odds.stated();
    (judged.departs() && judged.known == Known::Yes).then(|| {
        format!(
            "Held against {which}: {:.0}\u{a0}% sure that it is this programme.",
            100.0 * odds / (1.0 + odds)
        )
    })
}

/// How far a verdict of "within" reaches.
pub(super) fn as_far(cycle: &Cycle, trace: &Trace) -> &'static str {
    match (cycle.lacks(), hidden_ends(cycle, trace)) {
        (None, _) => "",
        (Some(Lacks::Start), [true, _]) => ", as far as seen: the log has a hole where it begins",
        (Some(Lacks::Start), _) => ", as far as seen: it begins before the log",
        (Some(Lacks::Minutes), _) => ", as far as seen: minutes of it are missing",
        (Some(Lacks::End), [_, true]) => ", as far as seen: the log has a hole where it ends",
        (Some(Lacks::End), _) => ", as far as seen: it ends after the log",
    }
}

/// Findings of one kind about one kind of interval are told once.
pub(super) fn groups<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> Vec<Vec<&'a Finding>> {
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

/// In which other cycles the same was found; nothing where there are none.
pub(super) fn likewise(group: &[&Finding]) -> Option<String> {
    let (first, others) = group.split_first()?;
    match others.len() {
        0 => None,
        1 if others[0].interval == first.interval => Some("Once more.".into()),
        2 if others.iter().all(|o| o.interval == first.interval) => Some("Twice more.".into()),
        n if others.iter().all(|o| o.interval == first.interval) => Some(format!("{n} times more.")),
        _ => {
            let names: Vec<String> = others.iter().map(|f| harmless(&f.interval)).collect();
            Some(format!("Same in: {}.", names.join(", ")))
        }
    }
}

/// What follows from these findings of one kind, on one line; nothing where nothing does.
pub(super) fn following(judged: &Judged, cause: &[&Finding], units: Units) -> Option<String> {
    let all = groups(judged.following(cause.first()?.departure));
    let told = |group: &Vec<&Finding>| {
        let others = likewise(group).map_or_else(String::new, |others| format!(" {others}"));
        format!("{}{others}", sentence(group[0], units))
    };
    let told: Vec<String> = all.iter().map(told).collect();
    (!told.is_empty()).then(|| told.join(" "))
}

/// What departs, in a few words.
pub(super) fn headline(f: &Finding) -> String {
    f.departure.headline.of(&harmless(&f.interval))
}

/// The same with its numbers, and with what was expected.
pub(super) fn sentence(f: &Finding, units: Units) -> String {
    against("expected", f, units)
}

/// The same with its numbers, and a word for what they are held against.
fn against(word: &str, f: &Finding, units: Units) -> String {
    let (measured, expected) = if is_rough(f) {
        (about(f.measured), about_between(f, units))
    } else {
        (units.quantity(f.measured), units.expected(f.expected))
    };
    let head = capitalised(&headline(f));
    match f.departure.numbers {
        Numbers::Without => format!("{head}."),
        Numbers::Words(words) => format!("{head}: {words}."),
        Numbers::Chart => format!("{head}; {word} {expected}."),
        Numbers::Measured => format!("{head}: {measured}."),
        // What should never be needs no limit.
        Numbers::Both if f.expected.1 == Some(Quantity::Count(0)) => format!("{head}: {measured}."),
        Numbers::Both => format!("{head}: {measured}; {word} {expected}."),
    }
}

/// What may be outside: by how little, or how unsure it is that it is one at all.
pub(super) fn in_doubt(f: &Finding, units: Units) -> String {
    let told = sentence(f, units);
    let told = told.trim_end_matches('.');
    if f.certainty < TOLD_FROM.get() {
        let sure = 100.0 * f.certainty;
        return format!("{told}: only {sure:.0} % sure, for the readings fit something else nearly as well.");
    }
    match f.uncertainty {
        // What has no limit is outside by being there at all.
        _ if f.expected == (None, None) => format!("{told}: too brief to be sure that it was one."),
        Quantity::Count(_) => format!("{told}: too close to call."),
        doubt if is_rough(f) => {
            format!("{told}: too close to call (\u{b1}{:.0} min).", doubt.number() / 60.0)
        }
        doubt => format!("{told}: too close to call (\u{b1}{}).", units.doubt(doubt)),
    }
}

/// How much of a cycle is in doubt, and what is unusual; nothing, where all of it is plain.
pub(super) fn open_values(judged: &Judged) -> String {
    let doubt = match judged.undecided.len() {
        0 => String::new(),
        1 => "; 1 value in doubt".to_owned(),
        n => format!("; {n} values in doubt"),
    };
    let unusual = if judged.unusual.is_empty() { "" } else { "; unusual, see below" };
    doubt + unusual
}

/// What is unusual, and what it would be a sign of: no fault by itself, for healthy machines of some makes do so, and a machine whose programme is
/// known is told something that does not.
pub(super) fn unusual(judged: &Judged, group: &[&Finding], units: Units) -> String {
    let first = group[0];
    let others = likewise(group).map_or_else(String::new, |others| format!(" {others}"));
    let sign = first.advice.suspects.first().map(|s| harmless(&s.text));
    let known = judged.known == Known::Yes && !first.departure.stands_in;
    let sign = match (known, sign) {
        (true, sign) => sign.map_or_else(String::new, |sign| format!(" Perhaps {sign}.")),
        (false, None) => " Some machines do so.".to_owned(),
        (false, Some(sign)) => format!(" Some machines do so. If it did not before: {sign}."),
    };
    format!("{}{others}{sign}", against("commonly", first, units))
}

/// When it was and, of what is measured and not counted, how well that is known.
pub(super) fn when(f: &Finding, trace: &Trace, units: Units) -> String {
    let at = clock_time(trace, f.start);
    match f.uncertainty {
        Quantity::Count(_) => at,
        _ if is_rough(f) => at,
        doubt => format!("{at}; measured \u{b1}{}", units.doubt(doubt)),
    }
}

/// Whether a time is known to about a minute at best: readings that are far apart do not say when something began.
fn is_rough(f: &Finding) -> bool {
    matches!((f.measured, f.uncertainty), (Quantity::Time(_), Quantity::Time(doubt)) if doubt.0 >= 30.0)
}

/// Limits of a rough time, to the minute; to a tenth of one, where what was measured would be the same in minutes.
fn about_between(f: &Finding, units: Units) -> String {
    let minutes = |quantity: Quantity| quantity.number() / 60.0;
    let (low, high) = (f.expected.0.map(minutes), f.expected.1.map(minutes));
    let same = |limit: f64| limit.round() == minutes(f.measured).round();
    let digits = usize::from([low, high].into_iter().flatten().any(same));
    match (low, high) {
        (low, Some(high)) if low.is_none_or(|low| low < 1.0) => format!("{high:.digits$} min or less"),
        (Some(low), Some(high)) => format!("{low:.digits$} to {high:.digits$} min"),
        (Some(low), None) if low >= 1.0 => format!("{low:.digits$} min or more"),
        _ => units.expected(f.expected),
    }
}

/// A rough time, to the minute.
fn about(measured: Quantity) -> String {
    match measured.number() {
        seconds if seconds < 60.0 => "less than about a minute".to_owned(),
        seconds => format!("about {:.0} min", seconds / 60.0),
    }
}

/// "a", "a and b", "a, b and c".
pub(super) fn list<T: ToString>(items: &[T]) -> String {
    let words: Vec<String> = items.iter().map(ToString::to_string).collect();
    match &words[..] {
        [] => String::new(),
        [one] => one.clone(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

pub(super) fn capitalised(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

pub(super) fn sure(certainty: f64) -> &'static str {
    if certainty >= 0.95 {
        ""
    } else if certainty >= crate::checks::constants::PLAIN_FROM.get() {
        " (likely)"
    } else {
        " (perhaps: which load it is, is not certain)"
    }
}

#[cfg(test)]
mod tests {
    use tubtrace_units::Seconds;

    use super::*;
    use crate::checks::all;
    use crate::intervals::Kind;

    /// "45 min 00 s, measured ±120 s" says seconds that a reading a minute never had.
    #[test]
    fn a_time_that_is_known_to_minutes_is_told_in_minutes() {
        let check = all().find(|c| c.id == "too-long").unwrap();
        let time = |s: f64| Quantity::Time(Seconds(s));
        let known_to = |doubt: f64| Finding {
            measured: time(2_700.0),
            expected: (None, Some(time(900.0))),
            uncertainty: time(doubt),
            ..Finding::invented(check, Kind::Heat, Seconds(0.0))
        };
        let told = |f: &Finding| sentence(f, Units::Si);
        assert!(told(&known_to(2.0)).contains(": 45 min 00 s;"));
        assert!(told(&known_to(120.0)).contains(": about 45 min;"));
        assert!(in_doubt(&known_to(960.0), Units::Si).contains("\u{b1}16 min"));
        assert!(in_doubt(&known_to(2.0), Units::Si).contains('\u{b1}'));
    }
}
