//! What is said of a log in which nothing was found: what was tried, what that shows, what to do, and what to tell the customer.

use super::wording::{headline, list};
use super::words::{counted, watts};
use crate::diagnosis::{Quiet, Tried};
use crate::findings::{Judged, Outcome};
use crate::intervals::Kind;

/// A log in which nothing was found, in words.
pub(super) struct NothingFound {
    /// What it comes to, in two or three words.
    pub title: &'static str,
    /// What was tried, what that shows, and what to do.
    pub paragraphs: Vec<String>,
    /// What to tell the customer: two sentences.
    pub customer: String,
}

/// The words of a log in which nothing was found, of whose cycles this was judged.
pub(super) fn nothing_found(quiet: &Quiet, judged: &[Judged]) -> NothingFound {
    let open = judged.iter().filter(|j| j.outcome() == Outcome::Unknown).count();
    let unusual = unusual(judged);
    let cycles = recorded(quiet);
    let tried: Vec<String> = quiet.tried.iter().filter_map(tried).collect();
    let tried = if tried.is_empty() { String::new() } else { format!(": {}", list(&tried)) };
    let compared = compared(open, judged.len());
    let means = means(quiet);
    let found = match unusual.as_slice() {
        [] => format!("Nothing found in {cycles}{tried}.{compared}{means}"),
        some => {
            let some = some.join("; ");
            format!("No fault found in {cycles}{tried}, but something unusual: {some}.{compared}{means}")
        }
    };
    NothingFound {
        title: if unusual.is_empty() { "nothing found" } else { "no fault found" },
        paragraphs: vec![found, format!("{} {}", shown(quiet), to_do(quiet))],
        customer: customer(quiet, open == 0 && unusual.is_empty()),
    }
}

/// What is unusual, with its cycles: what is alike in several is told once.
fn unusual(judged: &[Judged]) -> Vec<String> {
    let mut alike: Vec<(String, Vec<String>)> = Vec::new();
    for (i, of) in judged.iter().enumerate() {
        for what in of.unusual.iter().map(headline) {
            let cycle = (i + 1).to_string();
            match alike.iter_mut().find(|(known, _)| *known == what) {
                Some((_, cycles)) if cycles.contains(&cycle) => {}
                Some((_, cycles)) => cycles.push(cycle),
                None => alike.push((what, vec![cycle])),
            }
        }
    }
    let told = |(what, cycles): &(String, Vec<String>)| match cycles.as_slice() {
        [cycle] => format!("cycle {cycle}: {what}"),
        cycles => format!("cycles {}: {what}", list(cycles)),
    };
    alike.iter().map(told).collect()
}

/// How many cycles were recorded, and of how many more a part.
fn recorded(quiet: &Quiet) -> String {
    let cycles = |n: usize| counted(n, "cycle");
    match (quiet.cycles, quiet.parts) {
        (whole, 0) => cycles(whole),
        (0, parts) => format!("what was recorded of {}", cycles(parts)),
        (whole, parts) => format!("{} and what was recorded of {parts} more", cycles(whole)),
    }
}

/// What the machine did and how often; nothing of what it never did plainly.
fn tried(Tried { does, times, in_doubt, power }: &Tried) -> Option<String> {
    let word = match (times, does) {
        (0, _) => return None,
        (1, Kind::Dry) if *in_doubt == 0 => "drying phase",
        (1, does) if *in_doubt == 0 => does.word(),
        (_, does) => does.plural(),
    };
    let perhaps = match in_doubt {
        0 => String::new(),
        1 => format!(" or {}", times + 1),
        more => format!(" to {}", times + more),
    };
    Some(format!("{times}{perhaps} {word} at {}", watts(*power)))
}

/// How many of the cycles had nothing to be compared with, and what that means.
fn compared(open: usize, of: usize) -> String {
    match open {
        0 => String::new(),
        all if all == of => {
            " Nothing to compare it with: what is only a little off would not have been seen.".to_owned()
        }
        some => format!(
            " {some} of them had nothing to be compared with: what is only a little off would not have been seen there."
        ),
    }
}

/// What readings that are means do not show.
fn means(quiet: &Quiet) -> String {
    quiet.means.map_or_else(String::new, |apart| {
        format!(
            " Its readings are {:.0} s apart, and show no fill, no drain and nothing that is brief: a reading each second or two would.",
            apart.0
        )
    })
}

/// How often a fault may come and still not have shown itself.
fn shown(quiet: &Quiet) -> String {
    if quiet.cycles == 0 {
        return "No cycle was recorded whole, so that a fault may have come unseen.".to_owned();
    }
    let seen = |every: u32| match 100.0 * quiet.seen_if_once_in(every) {
        sure if sure > 99.0 => "more than 99\u{a0}%".to_owned(),
        probability => format!("{probability:.0}\u{a0}%"),
    };
    let fault = if quiet.means.is_some() { "fault of the heat or of a long wash" } else { "fault" };
    format!(
        "A {fault} that comes in every second cycle would have shown by now with a probability of {}, one in five with {}.",
        seen(2),
        seen(5)
    )
}

/// For how long the logger has to stay on, or what to do instead.
fn to_do(quiet: &Quiet) -> String {
    // The most frequent fault that so many cycles do not show almost surely.
    let rare = [5, 10, 20].into_iter().find(|&every| Quiet::enough_for_once_in(every) > quiet.cycles as u32);
    let longer = rare.map_or_else(
        || "That is as much as a log can show".to_owned(),
        |every| {
            format!(
                "Leave the logger on for {} cycles in all to see one in {} almost surely (95\u{a0}%)",
                Quiet::enough_for_once_in(every),
                if every == 5 { "five".to_owned() } else { every.to_string() }
            )
        },
    );
    let heat =
        if quiet.heated || quiet.parts > 0 { "" } else { " No programme that heats was run: run one." };
    format!(
        "{longer}, or make it happen: the programme that failed, as full, and at the hour of the day at which it did.{heat}"
    )
}

/// What to tell the customer, and whether all of it was right as far as it was seen.
fn customer(quiet: &Quiet, right: bool) -> String {
    let seen = match (quiet.means, right) {
        (Some(_), true) => "heating and washing were right, and filling and draining could not be seen",
        (Some(_), false) => {
            "no plain fault of heating or washing was seen, and filling and draining could not be seen"
        }
        (None, true) => "nothing went wrong",
        (None, false) => "no plain fault was seen",
    };
    let happened = match quiet.cycles {
        0 => "The recorder saw no run in full.".to_owned(),
        1 => format!("In one run {seen}."),
        n => format!("In {n} runs {seen}."),
    };
    format!("{happened} If it fails now and then, the recorder should stay on until it does.")
}
