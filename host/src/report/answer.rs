//! What stands before all else: what most likely is the matter, how sure that is, what speaks for and against it, what to measure first, and
//! what to tell the customer. The same words in the text and on the page.

use super::wording::{capitalised, headline, list};
use super::words::watts;
use crate::diagnosis::{Diagnosis, Evidence, MOST_SURE, Suspicion};
use crate::findings::{Causes, Step};
use crate::intervals::Kind;
use crate::text::harmless;

/// One thing that is the matter, in words.
pub(super) struct Answer {
    /// How grave it is, with the likeliest suspect, or what was found where nobody has one.
    pub headline: String,
    /// In which cycles it was found.
    pub found: String,
    /// The suspects, the likeliest first.
    pub suspects: Vec<Suspected>,
    /// What to measure first.
    pub first: Option<Measured>,
    /// What to measure next, where that shows nothing.
    pub then: Option<Measured>,
    /// What can hurt meanwhile, and is not told of another thing before.
    pub caution: String,
    /// What to tell the customer: two sentences.
    pub customer: String,
}

/// A suspect in words.
pub(super) struct Suspected {
    /// What it is and how probable.
    pub what: String,
    /// What speaks for it; empty where it is the same as for the likeliest.
    pub speaks_for: String,
    /// What speaks against it; empty where nothing does.
    pub against: String,
}

/// A measurement in words.
pub(super) struct Measured {
    /// What to do.
    pub what: String,
    /// What it may show, and what that means.
    pub signs: Vec<(String, String)>,
}

/// All diagnoses in words, the cautions of each without what stands above it already.
pub(super) fn answers(diagnoses: &[Diagnosis], causes: &Causes) -> Vec<Answer> {
    let mut said: Vec<&str> = Vec::new();
    diagnoses.iter().map(|d| answer(d, causes, &mut said)).collect()
}

/// A diagnosis in words.
fn answer<'a>(diagnosis: &Diagnosis, causes: &'a Causes, said: &mut Vec<&'a str>) -> Answer {
    let foremost = diagnosis.complaint.foremost();
    let headline = match diagnosis.suspects.first() {
        Some(s) if s.probability >= 0.5 => {
            format!("Most likely: {} ({})", harmless(&s.text), percent(s.probability))
        }
        Some(s) => format!("Perhaps: {} ({})", harmless(&s.text), percent(s.probability)),
        None => capitalised(&headline(foremost)),
    };
    Answer {
        headline: format!("{} fault. {headline}", capitalised(&diagnosis.complaint.severity().to_string())),
        found: found(diagnosis),
        suspects: suspects(diagnosis),
        first: diagnosis.first.as_ref().map(|step| measured(step, &diagnosis.suspects)),
        then: diagnosis.then.as_ref().map(|step| measured(step, &diagnosis.suspects)),
        caution: caution(diagnosis, causes, said),
        customer: customer(diagnosis, causes),
    }
}

/// What can hurt meanwhile; of what was said above, that it was.
fn caution<'a>(diagnosis: &Diagnosis, causes: &'a Causes, said: &mut Vec<&'a str>) -> String {
    let steps = diagnosis.first.iter().chain(&diagnosis.then);
    let all = causes.sentences_of(steps.map(|step| step.measurement));
    let new: Vec<&str> = all.iter().filter(|s| !said.contains(*s)).copied().collect();
    let above = if new.len() < all.len() { "As above." } else { "" };
    said.extend(&new);
    std::iter::once(above).filter(|s| !s.is_empty()).chain(new).collect::<Vec<_>>().join(" ")
}

/// A diagnosis in a few words.
pub(super) fn in_short(diagnosis: &Diagnosis) -> String {
    let found = headline(diagnosis.complaint.foremost());
    diagnosis
        .suspects
        .first()
        .map_or_else(|| found.clone(), |s| format!("{found}; {} ({})", short(s), percent(s.probability)))
}

fn suspects(diagnosis: &Diagnosis) -> Vec<Suspected> {
    let mut suspects: Vec<Suspected> = diagnosis.suspects.iter().map(|s| suspected(s, diagnosis)).collect();
    if let Some((likeliest, others)) = suspects.split_first_mut() {
        for other in others.iter_mut().filter(|o| o.speaks_for == likeliest.speaks_for) {
            other.speaks_for.clear();
        }
    }
    suspects
}

/// A suspect in a few words: what stands before the colon.
fn short(suspect: &Suspicion) -> String {
    let text = harmless(&suspect.text);
    text.split_once(": ").map_or(text.clone(), |(short, _)| short.to_owned())
}

/// Cycles that are named one by one: of more, how many they are.
const NAMED: usize = 6;

/// What was found in which cycle; of each cycle the finding that it was told first.
fn found(diagnosis: &Diagnosis) -> String {
    let findings = &diagnosis.complaint.findings;
    let first = |cycle: usize| {
        let own = || findings.iter().filter(move |(c, _)| *c == cycle);
        let told = own().find(|(_, f)| f.follows.is_none()).or_else(|| own().next());
        let more = match own().count() {
            0 | 1 => String::new(),
            n => format!(" and {} more", n - 1),
        };
        told.map(|(_, f)| format!("cycle {}: {}{more}", cycle + 1, headline(f)))
    };
    let mut cycles: Vec<String> = diagnosis.complaint.cycles().into_iter().filter_map(first).collect();
    let more = cycles.len().saturating_sub(NAMED);
    if more > 1 {
        cycles.truncate(NAMED);
        cycles.push(format!("and in {more} more cycles"));
    }
    cycles.join("; ")
}

fn suspected(suspect: &Suspicion, diagnosis: &Diagnosis) -> Suspected {
    let one_cycle = diagnosis.complaint.of_cycles == 1;
    let told = |evidence: &[Evidence]| {
        let all: Vec<String> = evidence.iter().map(|e| spoken(e, one_cycle)).collect();
        all.join("; ")
    };
    Suspected {
        what: format!("{} ({})", harmless(&suspect.text), percent(suspect.probability)),
        speaks_for: told(&suspect.speaks_for),
        against: if suspect.against.is_empty() {
            String::new()
        } else {
            format!("does not explain {}", told(&suspect.against))
        },
    }
}

fn spoken(evidence: &Evidence, one_cycle: bool) -> String {
    match evidence {
        Evidence::Found { finding, cycles } => {
            let what = finding.departure.headline.of(finding.does.word());
            let times = match cycles.len() {
                1 => String::new(),
                2 => ", twice".to_owned(),
                n => format!(", {n} times"),
            };
            let mut which: Vec<usize> = cycles.iter().map(|c| c + 1).collect();
            which.dedup();
            let which = match which.as_slice() {
                _ if one_cycle => String::new(),
                [one] => format!(" in cycle {one}"),
                all if all.len() > NAMED => format!(" in {} cycles", all.len()),
                all => {
                    format!(" in cycles {}", list(&all.iter().map(ToString::to_string).collect::<Vec<_>>()))
                }
            };
            format!("{what}{times}{which}")
        }
        Evidence::StillDoes { kind, times, power } => {
            let times = if *times == 1 { "once".to_owned() } else { format!("{times} times") };
            format!("later {} {times}, at {}", ran(*kind), watts(*power))
        }
    }
}

const fn ran(kind: Kind) -> &'static str {
    match kind {
        Kind::Heat => "the heater ran",
        Kind::Drain => "the drain pump ran",
        Kind::Fill => "the fill valve opened",
        _ => "the wash pump ran",
    }
}

fn measured(step: &Step, suspects: &[Suspicion]) -> Measured {
    let meaning = |means: Option<(usize, f64)>| {
        means.map_or_else(
            || "something else".to_owned(),
            |(i, p)| {
                // What the likeliest was before and still is, though it did not show.
                let still = if i == 0 && p <= suspects[0].probability { "still " } else { "" };
                format!("{still}{} ({})", short(&suspects[i]), percent(p))
            },
        )
    };
    Measured {
        what: step.measurement.what.clone(),
        signs: step.signs.iter().map(|s| (s.seen.to_owned(), meaning(s.means))).collect(),
    }
}

/// To five per cent: the weights behind it are guesses.
fn percent(p: f64) -> String {
    format!("{:.0}\u{a0}%", (p.min(MOST_SURE.get()) * 20.0).round().max(1.0) * 5.0)
}

/// A suspect is as likely as another that has this part of its probability: the weights behind both are guesses.
const AS_LIKELY: f64 = 0.5;

/// Two sentences without a word of the trade: what happened, and what comes of it.
pub(super) fn customer(diagnosis: &Diagnosis, causes: &Causes) -> String {
    let foremost = diagnosis.complaint.foremost();
    let happened = causes.happened(foremost.departure, foremost.does);
    let (with, of) = (diagnosis.complaint.cycles().len(), diagnosis.complaint.of_cycles);
    let first = match (with, of) {
        (_, 1) => format!("{}.", capitalised(happened)),
        (2, 2) => format!("In both runs {happened}."),
        _ if with == of => format!("In all {of} runs {happened}."),
        _ => format!("In {with} of {of} runs {happened}."),
    };
    let second = match diagnosis.suspects.first() {
        Some(s) if s.probability >= 0.5 => {
            format!("Most likely {}; a look at it will show.", harmless(&causes.because(&s.word)))
        }
        // Of several that are about as likely none is told alone.
        Some(first) => {
            let close = |s: &&Suspicion| s.probability >= first.probability * AS_LIKELY;
            let mut because: Vec<String> =
                diagnosis.suspects.iter().filter(close).map(|s| harmless(&causes.because(&s.word))).collect();
            because.dedup();
            because.truncate(2);
            format!("It may be that {}, which has to be looked at first.", because.join(", or that "))
        }
        None => "What is behind it has to be looked at.".to_owned(),
    };
    format!("{first} {second}")
}
