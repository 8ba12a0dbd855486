//! Numbers and names of a comparison, in words.

use crate::compare::{Comparison, Exchanged, Measure, Question};
use crate::text::harmless;

pub(super) const fn exchanged(what: Exchanged) -> &'static str {
    match what {
        Exchanged::Cycles => "cycles",
        Exchanged::Nights => "nights",
        Exchanged::Machines => "machines",
    }
}

/// What a group is called: A, B, C.
pub(super) fn letter(group: u8) -> char {
    char::from(b'A' + group.min(25))
}

/// What was asked, in words.
pub(super) fn name(of: &Comparison, question: &Question) -> String {
    let interval = question.interval.as_deref().unwrap_or("whole cycle");
    let word = question.measure.word();
    match of.programmes.get(question.programme) {
        Some((programme, _))
            if of.programmes.iter().filter(|(_, n)| n.iter().any(|n| *n > 0)).count() > 1 =>
        {
            format!("{}: {}, {word}", harmless(programme), harmless(interval))
        }
        _ => format!("{}, {word}", harmless(interval)),
    }
}

pub(super) fn value(measure: Measure, number: f64) -> String {
    match measure {
        Measure::Comes => format!("{:.0} %", 100.0 * number),
        Measure::Purges => format!("{number:.1}"),
        Measure::Current | Measure::Peak => format!("{number:.2} A"),
        Measure::Supply | Measure::Drain => format!("{number:.1} °C"),
        Measure::Energy => format!("{} Wh", three(number)),
        Measure::Lasts | Measure::Fills | Measure::Varies if number.abs() < 100.0 => format!("{number:.1} s"),
        Measure::Lasts | Measure::Fills | Measure::Varies => format!("{number:.0} s"),
    }
}

/// A number with three digits or so.
fn three(number: f64) -> String {
    match number.abs() {
        ..10.0 => format!("{number:.2}"),
        ..100.0 => format!("{number:.1}"),
        _ => format!("{number:.0}"),
    }
}

pub(super) fn signed(measure: Measure, number: f64) -> String {
    format!("{}{}", if number < 0.0 { "" } else { "+" }, value(measure, number))
}

pub(super) fn chance(p: f64) -> String {
    match p {
        ..0.0001 => "below 0.0001".into(),
        ..0.001 => format!("{p:.4}"),
        _ => format!("{p:.3}"),
    }
}
