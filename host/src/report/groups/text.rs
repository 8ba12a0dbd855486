//! The comparison for people.

use std::fmt::Write;

use super::super::style::{ALERT, HEAD};
use super::super::wording::list;
use super::super::words::{counted, wrapped};
use super::called::Called;
use super::how::how;
use super::within::{drifts, odd};
use super::wording::{chance, exchanged, letter, name, signed, value};
use crate::compare::{Comparison, Measure, Row, Said};
use crate::text::harmless;

/// The comparison for people.
#[must_use]
pub fn groups_text(of: &Comparison, called: Called) -> String {
    let mut text = String::new();
    let mut say = |paragraph: &str| {
        let _ = writeln!(text, "{}", textwrap::fill(paragraph, called.width));
    };
    let differ: Vec<&Row> = of.rows.iter().filter(|r| r.said == Said::Differs).collect();
    say(&format!("{HEAD}{}{HEAD:#}", comes_to(of, differ.len())));
    say("");
    for (g, name) in called.names.iter().enumerate() {
        let left = match of.left_out[g] {
            0 => String::new(),
            n => format!("; {n} left out: cut by the log, only heard, or of no programme"),
        };
        say(&format!(
            "{}: {}, {} of {} and {}{left}",
            letter(g as u8),
            harmless(name),
            counted(of.cycles[g], "cycle"),
            counted(of.nights[g], "night"),
            counted(of.machines[g], "machine")
        ));
    }
    for (name, counts) in of.programmes.iter().filter(|(_, n)| n.iter().any(|n| *n > 0)) {
        let with: Vec<usize> = (0..counts.len()).filter(|g| counts[*g] > 0).collect();
        let only = match with[..] {
            [one] => format!("; only {} has it, so nothing of it is compared", letter(one as u8)),
            _ => String::new(),
        };
        let name = if name.is_empty() {
            "One programme".into()
        } else {
            format!("Programme \"{}\"", harmless(name))
        };
        let counts: Vec<String> =
            (0..).zip(counts).map(|(g, count)| format!("{count} in {}", letter(g))).collect();
        say(&format!("{name}: {}{only}", counts.join(", ")));
    }
    say("");
    if !differ.is_empty() {
        say(match of.pairs.is_empty() {
            true => {
                "What differs (B less A, with its interval of 95 %; p: how often chance makes as much of any question):"
            }
            false => {
                "What differs among them (the middles of each; p: how often chance makes as much of any question):"
            }
        });
        for row in &differ {
            text.push_str(&line(of, row, ALERT));
        }
        text.push('\n');
    }
    by_pairs(of, called, &mut text);
    let rest: Vec<&Row> = of.rows.iter().filter(|r| r.said != Said::Differs).collect();
    let same = rest.iter().filter(|r| r.said == Said::Same).count();
    if called.all {
        let _ = writeln!(text, "All else that was asked:");
        rest.iter().for_each(|row| text.push_str(&line(of, row, anstyle::Style::new())));
        text.push('\n');
    }
    let mut say = |paragraph: &str| text.push_str(&wrapped(called.width, paragraph, "", ""));
    if same > 0 {
        say(&format!(
            "{} of the other {} are shown to be the same within what you asked for.",
            same,
            rest.len()
        ));
    }
    if of.least_p <= LEVEL && !rest.is_empty() && !called.all {
        say(&not_shown(&rest, differ.len()));
    }
    let within = [
        (
            "Drifts within a group, in the order of time (p: how often chance makes as much of any):",
            drifts(of),
        ),
        (
            "Far from the others of their group; look at these first, for real cycles vary more than numbers by chance:",
            odd(of, called),
        ),
    ];
    for (heading, lines) in within.into_iter().filter(|(_, lines)| !lines.is_empty()) {
        text.push_str(&format!("\n{}", wrapped(called.width, heading, "", "")));
        lines
            .iter()
            .for_each(|line| text.push_str(&wrapped(called.width, &line.replace('\n', " "), "  ", "    ")));
    }
    text.push('\n');
    how(of, called).iter().for_each(|paragraph| text.push_str(&wrapped(called.width, paragraph, "", "")));
    text
}

/// What differs between two of more than two groups.
fn by_pairs(of: &Comparison, called: Called, text: &mut String) {
    let Some(pair) = of.pairs.first() else { return };
    if pair.rows.iter().all(|r| r.said == Said::CannotTell) {
        let few = "So few cannot tell of any two of them that they differ: of so many pairs each needs more.";
        let _ = writeln!(text, "{}\n", textwrap::fill(few, called.width));
        return;
    }
    let heading = "Two by two (the second less the first; p: how often chance makes as much of any question of any pair):";
    let _ = writeln!(text, "{}", textwrap::fill(heading, called.width));
    for pair in &of.pairs {
        let [first, second] = pair.groups.map(letter);
        let differ: Vec<&Row> = pair.rows.iter().filter(|r| r.said == Said::Differs).collect();
        let none = if differ.is_empty() { ": nothing is shown to differ" } else { ":" };
        let _ = writeln!(text, " {first} and {second}{none}");
        differ.iter().for_each(|row| text.push_str(&line(of, row, ALERT)));
    }
    text.push('\n');
}

/// What is not shown, and what could have been.
fn not_shown(rest: &[&Row], differ: usize) -> String {
    let durations =
        || rest.iter().filter(|r| r.question.measure == Measure::Lasts && r.question.interval.is_some());
    let mut shown: Vec<f64> = durations().filter_map(|r| could_show(r)).collect();
    shown.sort_by(f64::total_cmp);
    let other = if differ == 0 { "these" } else { "the other" };
    let not = format!(
        "Of {other} {} questions nothing is shown, which does not say that they are alike",
        rest.len()
    );
    let could = match (shown.first(), shown.last()) {
        (Some(least), Some(most)) => format!(
            ": an interval's duration would have had to differ by {} to {} to be found in four of five such comparisons{}",
            value(Measure::Lasts, *least),
            value(Measure::Lasts, *most),
            match durations().count() - shown.len() {
                0 => String::new(),
                n => format!(", and {n} by more than they last"),
            }
        ),
        _ if rest.iter().any(|r| r.groups.len() > 2) => String::new(),
        _ => ": so few would not show a difference as great as an interval is long".to_owned(),
    };
    format!("{not}{could}. --all lists each; --same-within 2s asks whether they are the same.")
}

/// The smallest difference that would have been found in four of five such comparisons, where that is no more than what is measured.
fn could_show(row: &Row) -> Option<f64> {
    let middles = row.groups.iter().filter_map(|group| group.middle).map(f64::abs);
    let most = middles.fold(0.0, f64::max);
    row.least_shown.filter(|least| *least <= most)
}

/// The chance of a false alarm at which a difference is told, as it is told.
const LEVEL: f64 = 0.05;

/// The comparison in a sentence.
pub(super) fn comes_to(of: &Comparison, differ: usize) -> String {
    if of.least_p > LEVEL {
        return format!(
            "Cannot tell: so few {} ({}) differ as much as they can by chance in {:.0} of 100 cases. At least {} in each group could tell",
            exchanged(of.exchanged),
            list(&of.units),
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

/// A question, and what it comes to.
fn line(of: &Comparison, row: &Row, style: anstyle::Style) -> String {
    let measure = row.question.measure;
    let at = |v: Option<f64>| v.map_or_else(|| "none".to_owned(), |v| value(measure, v));
    let shift = row.shift.map_or_else(String::new, |s| format!("  {}", signed(measure, s)));
    let interval = row.interval.map_or_else(String::new, |(low, high)| {
        format!(" ({} to {})", signed(measure, low), signed(measure, high))
    });
    let middles: Vec<String> = row.groups.iter().map(|g| at(g.middle)).collect();
    let middles = match &middles[..] {
        [first, second] => format!("{first:>9} -> {second:<9}"),
        all => all.join(", "),
    };
    let told = match row.said {
        Said::Differs => format!("  p {}", chance(row.of_any)),
        Said::Same => {
            row.same.map_or_else(String::new, |(m, _)| format!("  same within {}", value(measure, m)))
        }
        Said::CannotTell => "  cannot tell".into(),
        Said::NotShown => could_show(row).map_or_else(
            || {
                if row.groups.len() > 2 {
                    "  not shown".into()
                } else {
                    "  not shown, and hardly could be".into()
                }
            },
            |least| format!("  not shown; {} would have been", value(measure, least)),
        ),
    };
    format!("  {style}{:<34}{style:#} {middles}{shift}{interval}{told}\n", name(of, &row.question))
}
