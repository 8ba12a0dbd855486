//! The verdict in one sentence.

use super::super::wording::capitalised;
use super::sheet::Sheet;
use crate::findings::{Known, Outcome};

/// Departures that the sentence names.
const NAMED: usize = 3;

/// What the log comes to.
pub(super) fn sentence(sheet: Sheet) -> String {
    let count = sheet.subject.cycles.len();
    let Some(chart) = sheet.chart else {
        return match count {
            0 => "There is no cycle in this log.".into(),
            1 => "One cycle, not checked: no chart.".into(),
            n => format!("{} cycles, not checked: no chart.", capitalised(&number(n))),
        };
    };
    let departing = sheet.departing();
    let open = sheet.verdicts().iter().filter(|j| j.outcome() == Outcome::Unknown);
    let alone = open.clone().all(|j| j.known == Known::Alone);
    let open = open.count();
    let compared = count - open;
    let why = if alone { "with nothing to compare with" } else { "of no programme that is known" };
    let within = match (departing, compared) {
        _ if count == 0 => return "There is no cycle in this log.".into(),
        (_, 0) if count == 1 => return format!("One cycle, {why}."),
        (_, 0) => return format!("{} cycles, {why}.", capitalised(&number(count))),
        (0, 1) => format!("The cycle is within {chart}"),
        (0, 2) => format!("Both cycles are within {chart}"),
        (0, n) => format!("All {} cycles are within {chart}", number(n)),
        (1, _) if count == 1 => "The cycle departs".to_owned(),
        (1, _) => format!("1 of {count} cycles departs"),
        (d, _) => format!("{d} of {count} cycles depart"),
    };
    let mut named: Vec<String> = Vec::new();
    for (i, judged) in sheet.verdicts().iter().enumerate() {
        if let Some(first) = judged.findings.first() {
            let which = match named.len() {
                _ if count == 1 => String::new(),
                0 => format!("in cycle {} ", i + 1),
                _ => format!("in {} ", i + 1),
            };
            named.push(which + sheet.causes.happened(first.departure, first.does));
        }
    }
    let more = named.len().saturating_sub(NAMED);
    named.truncate(NAMED);
    if more > 0 {
        named.push(format!("and {more} more"));
    }
    let rest = if open > 0 { format!(" {} more {why}.", capitalised(&number(open))) } else { String::new() };
    if named.is_empty() {
        format!("{within}.{rest}")
    } else {
        format!("{within}: {}.{rest}", named.join(", "))
    }
}

/// Small numbers as words.
fn number(n: usize) -> String {
    const WORDS: [&str; 13] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
        "twelve",
    ];
    WORDS.get(n).map_or_else(|| n.to_string(), |word| (*word).to_owned())
}
