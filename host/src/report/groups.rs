//! Two groups of cycles compared: what differs, by how much, and what so few or so many could have shown.

use std::fmt::Write;

use serde_json::{Value, json};

use super::style::{ALERT, HEAD};
use crate::compare::{Comparison, Exchanged, Measure, Question, Row, Said};
use crate::text::harmless;

/// What the groups are called, and how the text is set.
#[derive(Clone, Copy, Debug)]
pub struct Called<'a> {
    /// The first group and the second.
    pub names: [&'a str; 2],
    /// What they were sorted by.
    pub machine: &'a str,
    /// Columns of the text.
    pub width: usize,
    /// Whether every question is listed.
    pub all: bool,
}

/// The comparison for people.
#[must_use]
pub fn groups_text(of: &Comparison, called: Called) -> String {
    let mut text = String::new();
    let mut say = |paragraph: &str| {
        let _ = writeln!(text, "{}", textwrap::fill(paragraph, called.width));
    };
    let names = called.names.map(harmless);
    let differ: Vec<&Row> = of.rows.iter().filter(|r| r.said == Said::Differs).collect();
    say(&format!("{HEAD}{}{HEAD:#}", comes_to(of, differ.len())));
    say("");
    for (g, name) in names.iter().enumerate() {
        let left = match of.left_out[g] {
            0 => String::new(),
            n => format!("; {n} left out: cut by the log, only heard, or of no programme"),
        };
        say(&format!(
            "{}: {name}, {} of {} and {}{left}",
            ["A", "B"][g],
            counted(of.cycles[g], "cycle"),
            counted(of.nights[g], "night"),
            counted(of.machines[g], "machine")
        ));
    }
    for (name, counts) in of.programmes.iter().filter(|(_, n)| n[0] + n[1] > 0) {
        let only = match counts {
            [0, _] => "; only B has it, so nothing of it is compared",
            [_, 0] => "; only A has it, so nothing of it is compared",
            _ => "",
        };
        let name = if name.is_empty() {
            "One programme".into()
        } else {
            format!("Programme \"{}\"", harmless(name))
        };
        say(&format!("{name}: {} in A, {} in B{only}", counts[0], counts[1]));
    }
    say("");
    if !differ.is_empty() {
        say(
            "What differs (B less A, with its interval of 95 %; p: how often chance makes as much of any question):",
        );
        for row in &differ {
            text.push_str(&line(of, row, ALERT));
        }
        text.push('\n');
    }
    let rest: Vec<&Row> = of.rows.iter().filter(|r| r.said != Said::Differs).collect();
    let same = rest.iter().filter(|r| r.said == Said::Same).count();
    if called.all {
        let _ = writeln!(text, "All else that was asked:");
        rest.iter().for_each(|row| text.push_str(&line(of, row, anstyle::Style::new())));
        text.push('\n');
    }
    let mut say = |paragraph: &str| {
        let _ = writeln!(text, "{}", textwrap::fill(paragraph, called.width));
    };
    if same > 0 {
        say(&format!(
            "{} of the other {} are shown to be the same within what you asked for.",
            same,
            rest.len()
        ));
    }
    if of.least_p <= LEVEL && !rest.is_empty() && !called.all {
        let lasts =
            rest.iter().filter(|r| r.question.measure == Measure::Lasts && r.question.interval.is_some());
        let shown: Vec<f64> = lasts.filter_map(|r| r.least_shown).collect();
        if let Some(most) = shown.iter().copied().max_by(f64::total_cmp) {
            let least = shown.iter().copied().fold(most, f64::min);
            say(&format!(
                "Of the {} other questions nothing is shown, which does not say that they are alike: an interval's duration would have had to differ by {} to {} to be found in about three of four such comparisons. --all lists each; --same-within 2s asks whether they are the same.",
                rest.len(),
                value(Measure::Lasts, least),
                value(Measure::Lasts, most)
            ));
        }
    }
    say("");
    how(of, called).iter().for_each(|paragraph| say(paragraph));
    text
}

/// The chance of a false alarm at which a difference is told, as it is told.
const LEVEL: f64 = 0.05;

fn comes_to(of: &Comparison, differ: usize) -> String {
    if of.least_p > LEVEL {
        return format!(
            "Cannot tell: so few {} ({} and {}) differ as much as they can by chance in {:.0} of 100 cases. At least {} in each group could tell",
            exchanged(of.exchanged),
            of.units[0],
            of.units[1],
            100.0 * of.least_p,
            of.enough
        );
    }
    match differ {
        0 => format!("Nothing is shown to differ, of {} questions.", of.rows.len()),
        1 => format!("1 of {} questions shows a difference.", of.rows.len()),
        n => format!("{n} of {} questions show a difference.", of.rows.len()),
    }
}

/// What was done, and what it can and cannot show.
fn how(of: &Comparison, called: Called) -> Vec<String> {
    let (count, all) = of.arrangements;
    let tried = if all { format!("all {count}") } else { format!("{count}") };
    let what = exchanged(of.exchanged);
    let mut told = vec![format!(
        "How: cycles of both groups were sorted into programmes together, by {}, blind to their group. {} questions were asked. {} {what} and {} were exchanged between the groups in {tried} ways; the chance that any question differs by chance is 5 % in all.",
        harmless(called.machine),
        of.rows.len(),
        of.units[0],
        of.units[1]
    )];
    told.push(match of.exchanged {
        Exchanged::Cycles if of.nights.contains(&1) && of.cycles.iter().any(|n| *n > 1) => "One night on a side: its cycles share water, load and room, so they are more alike than those of two nights, and what differs may be the night and not the change. Several nights in each group would tell.".into(),
        Exchanged::Cycles => "Each cycle was taken by itself: right only if cycles of one night are no more alike than those of two.".into(),
        Exchanged::Nights => "Cycles of one night stay together, for they are more alike than those of two: a night counts once, with the mean of its cycles.".into(),
        Exchanged::Machines => "No machine is in both groups, so whole machines are exchanged: each counts once.".into(),
    });
    if of.shared_machines == 0 && of.machines == [1, 1] {
        told.push("One machine on each side: this shows what these two machines do, and not whether the change makes the difference, for no two machines are alike. The same machine before and after, or several on each side, would tell.".into());
    } else if of.machines == [1, 1] {
        told.push("One machine, before and after: what else changed in between (season, water, load, wear) cannot be told from the change, and other machines may answer otherwise.".into());
    } else if of.shared_machines > 0 {
        told.push(format!(
            "{} in both groups: only what is of one machine was exchanged.",
            counted(of.shared_machines, "machine")
        ));
    }
    told
}

const fn exchanged(what: Exchanged) -> &'static str {
    match what {
        Exchanged::Cycles => "cycles",
        Exchanged::Nights => "nights",
        Exchanged::Machines => "machines",
    }
}

fn counted(n: usize, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}

/// A question, and what it comes to.
fn line(of: &Comparison, row: &Row, style: anstyle::Style) -> String {
    let measure = row.question.measure;
    let at = |v: Option<f64>| v.map_or_else(|| "none".to_owned(), |v| value(measure, v));
    let shift = row.shift.map_or_else(String::new, |s| format!("  {}", signed(measure, s)));
    let interval = row.interval.map_or_else(String::new, |(low, high)| {
        format!(" ({} to {})", signed(measure, low), signed(measure, high))
    });
    let told = match row.said {
        Said::Differs => format!("  p {}", chance(row.of_any)),
        Said::Same => {
            row.same.map_or_else(String::new, |(m, _)| format!("  same within {}", value(measure, m)))
        }
        Said::CannotTell => "  cannot tell".into(),
        Said::NotShown => row.least_shown.map_or_else(
            || "  not shown".into(),
            |least| format!("  not shown; {} would have been", value(measure, least)),
        ),
    };
    format!(
        "  {style}{:<34}{style:#} {:>9} -> {:<9}{shift}{interval}{told}\n",
        name(of, &row.question),
        at(row.groups[0].middle),
        at(row.groups[1].middle)
    )
}

/// What was asked, in words.
fn name(of: &Comparison, question: &Question) -> String {
    let interval = question.interval.as_deref().unwrap_or("whole cycle");
    let word = question.measure.word();
    match of.programmes.get(question.programme) {
        Some((programme, _)) if of.programmes.iter().filter(|(_, n)| n[0] + n[1] > 0).count() > 1 => {
            format!("{}: {}, {word}", harmless(programme), harmless(interval))
        }
        _ => format!("{}, {word}", harmless(interval)),
    }
}

fn value(measure: Measure, number: f64) -> String {
    match measure {
        Measure::Comes => format!("{:.0} %", 100.0 * number),
        Measure::Purges => format!("{number:.1}"),
        Measure::Current | Measure::Peak => format!("{number:.2} A"),
        Measure::Supply | Measure::Drain => format!("{number:.1} °C"),
        Measure::Energy => format!("{number:.1} Wh"),
        Measure::Lasts | Measure::Fills | Measure::Varies => format!("{number:.1} s"),
    }
}

fn signed(measure: Measure, number: f64) -> String {
    format!("{}{}", if number < 0.0 { "" } else { "+" }, value(measure, number))
}

fn chance(p: f64) -> String {
    if p < 0.001 { format!("{p:.4}") } else { format!("{p:.3}") }
}

/// The comparison for programs.
#[must_use]
pub fn groups_json(of: &Comparison, called: Called) -> String {
    let group = |g: usize| {
        json!({
            "name": called.names[g], "cycles": of.cycles[g], "left_out": of.left_out[g], "nights": of.nights[g],
            "machines": of.machines[g], "units": of.units[g],
        })
    };
    let programme = |(name, counts): &(String, [usize; 2])| json!({ "name": name, "cycles": counts });
    let row = |row: &Row| {
        let question = &row.question;
        json!({
            "programme": of.programmes.get(question.programme).map(|p| &p.0),
            "interval": question.interval,
            "measure": question.measure.word(),
            "unit": question.measure.unit(),
            "said": match row.said {
                Said::Differs => "differs",
                Said::Same => "same",
                Said::NotShown => "not-shown",
                Said::CannotTell => "cannot-tell",
            },
            "counts": row.groups.map(|g| g.count),
            "middles": row.groups.map(|g| g.middle),
            "shift": row.shift,
            "interval_95": row.interval.map(|(low, high)| [low, high]),
            "cliffs_delta": row.delta,
            "p": row.p,
            "p_of_any": row.of_any,
            "q": row.q,
            "least_shown": row.least_shown,
            "same_within": row.same.map(|s| s.0),
            "p_same": row.same.map(|s| s.1),
        })
    };
    let all: Value = json!({
        "groups": [group(0), group(1)],
        "sorted_by": called.machine,
        "programmes": of.programmes.iter().map(programme).collect::<Vec<_>>(),
        "exchanged": exchanged(of.exchanged),
        "arrangements": of.arrangements.0,
        "all_arrangements": of.arrangements.1,
        "shared_machines": of.shared_machines,
        "least_p": of.least_p,
        "least_in_each_group": of.enough,
        "questions": of.rows.iter().map(row).collect::<Vec<_>>(),
    });
    serde_json::to_string_pretty(&all).unwrap_or_default()
}
