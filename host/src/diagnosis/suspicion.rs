//! Suspicions: how probable each suspect is by what was found, and what speaks for it and against it.

use std::collections::BTreeMap;

use tubtrace_units::{Load, Watts};

use super::complaint::Complaint;
use super::constants::{LEAST_TOLD, MOST_TOLD};
use crate::findings::{Causes, Finding, SOMETHING_ELSE, WORTH_NAMING, odds_of, runs_after, score_of};
use crate::intervals::{Cycle, Interval, Kind};
use crate::stats::weighted_median;

/// Something that may be behind a complaint.
#[derive(Clone, Debug)]
pub struct Suspicion {
    /// Its word, as in JSON.
    pub word: String,
    /// What it is, for a person.
    pub text: String,
    /// The probability that it is behind the complaint.
    pub probability: f64,
    /// What speaks for it.
    pub speaks_for: Vec<Evidence>,
    /// What speaks against it.
    pub against: Vec<Evidence>,
}

/// Something in the record that speaks for or against a suspect.
#[derive(Clone, Debug)]
pub enum Evidence {
    /// What it explains, or does not explain, with the places of the cycles in which that was found.
    Found {
        /// One of the findings.
        finding: Box<Finding>,
        /// The places of its cycles in the log, one for each finding.
        cycles: Vec<usize>,
    },
    /// What the machine still does after it was found, so often and at this power.
    StillDoes {
        /// What it does.
        kind: Kind,
        /// How often.
        times: usize,
        /// The median of what it draws.
        power: Watts,
    },
}

/// The suspects of a complaint, the likeliest first. Each kind of finding multiplies the odds of what explains it (naive Bayes: Duda, Hart
/// and Stork, Pattern Classification, 2nd ed., 2.12), by weights that are guesses; all are as probable before.
pub(super) fn suspects(complaint: &Complaint, cycles: &[Cycle], causes: &Causes) -> Vec<Suspicion> {
    let kinds = complaint.kinds();
    let explains: BTreeMap<&String, BTreeMap<&str, f64>> =
        kinds.iter().map(|(kind, (f, _))| (kind, causes.weights(f.departure, f.does))).collect();
    let weight = |word: &str, kind: &String| explains[kind].get(word).copied().unwrap_or(0.0);
    let mut words: Vec<&str> = explains.values().flat_map(|w| w.keys().copied()).collect();
    words.sort_unstable();
    words.dedup();
    let score = |word: &str| -> f64 {
        kinds.iter().map(|(kind, (_, cycles))| score_of(weight(word, kind), cycles.len())).sum()
    };
    let still = |word: &str, does: Option<Kind>| {
        let plainly = |f: &Finding| weight(word, &f.kind()) >= WORTH_NAMING.get();
        still_does(does?, plainly, complaint, cycles)
    };
    // What fails for good is refuted by what the machine does later.
    let standing: Vec<(&str, f64)> = words
        .into_iter()
        .filter(|word| still(word, causes.refuted_by(word)).is_none())
        .map(|word| (word, odds_of(score(word))))
        .collect();
    let all: f64 = standing.iter().map(|(_, p)| p).sum::<f64>() + odds_of(SOMETHING_ELSE.get());
    let mut suspects: Vec<Suspicion> = standing
        .into_iter()
        .map(|(word, p)| {
            let found = |spoken: bool| {
                let such = kinds.iter().filter(move |(kind, _)| (weight(word, kind) > 0.0) == spoken);
                such.map(|(_, (finding, cycles))| Evidence::Found {
                    finding: Box::new((*finding).clone()),
                    cycles: cycles.clone(),
                })
            };
            Suspicion {
                word: word.to_owned(),
                text: causes.text(word),
                probability: p / all,
                speaks_for: found(true).chain(still(word, causes.now_and_then(word))).collect(),
                against: found(false).collect(),
            }
        })
        .collect();
    suspects.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    suspects.retain(|s| s.probability >= LEAST_TOLD.get());
    suspects.truncate(MOST_TOLD.get());
    suspects
}

/// What the machine still does after the first finding that speaks plainly for a suspect, in that cycle and in later ones.
fn still_does(
    kind: Kind,
    speaks: impl Fn(&Finding) -> bool,
    complaint: &Complaint,
    cycles: &[Cycle],
) -> Option<Evidence> {
    let from = |(cycle, f): &(usize, &Finding)| (*cycle, f.start);
    let spoken = complaint.findings.iter().filter(|(_, f)| speaks(f)).map(from);
    let (first, start) = spoken.min_by(|a, b| a.0.cmp(&b.0).then(a.1.0.total_cmp(&b.1.0)))?;
    let ran: Vec<&Interval> =
        cycles[first..].iter().flat_map(|cycle| runs_after(cycle, kind, start)).collect();
    let draws = |i: &&Interval| (i.measured.power.0, i.duration().0);
    // What pump and heater draw together is not the pump's.
    let alone = ran.iter().filter(|i| kind == Kind::Heat || !i.loads.has(Load::Heater)).map(draws);
    let power = weighted_median(alone).or_else(|| weighted_median(ran.iter().map(draws)))?;
    Some(Evidence::StillDoes { kind, times: ran.len(), power: Watts(power) })
}
