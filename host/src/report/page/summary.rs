//! The verdict in one sentence.

use super::super::wording::{capitalised, list};
use super::sheet::Sheet;
use crate::diagnosis::Diagnosis;
use crate::findings::{Causes, Known, Outcome};

/// Things that are the matter, or cycles of one, that the sentence names.
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
    let mut named: Vec<String> = sheet.diagnoses.iter().map(|d| happened(d, sheet.causes)).collect();
    let more = named.len().saturating_sub(NAMED);
    named.truncate(NAMED);
    if more > 0 {
        named.push(format!("and {more} more"));
    }
    let rest = if open > 0 { format!(" {} more {why}.", capitalised(&number(open))) } else { String::new() };
    if named.is_empty() {
        format!("{within}.{rest}")
    } else {
        format!("{within}: {}.{rest}", named.join("; "))
    }
}

/// What happened, and in which cycles: of one thing that is the matter.
fn happened(diagnosis: &Diagnosis, causes: &Causes) -> String {
    let (foremost, cycles) = (diagnosis.complaint.foremost(), diagnosis.complaint.cycles());
    let what = causes.happened(foremost.departure, foremost.does);
    let which: Vec<String> = cycles.iter().map(|c| (c + 1).to_string()).collect();
    match which.as_slice() {
        _ if diagnosis.complaint.of_cycles == 1 => what.to_owned(),
        [one] => format!("in cycle {one} {what}"),
        many if many.len() > NAMED => format!("in {} cycles {what}", many.len()),
        many => format!("in cycles {} {what}", list(many)),
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
