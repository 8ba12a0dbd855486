//! The order of what was found in a cycle: by the cause that explains most of it. A cause that explains several findings comes before one that
//! explains one, and what a cause leaves unexplained speaks against it.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::causes::{Cause, Causes};
use super::constants::{AGAIN, PUT_FIRST, SHARPNESS, UNEXPLAINED, WORTH_NAMING};
use super::finding::Finding;
use super::refuted::runs_after;
use crate::intervals::Cycle;

/// Puts the causes that explain most first, and with them the findings that they explain; none that the cycle itself refutes.
pub(super) fn rank(findings: &mut [Finding], cycle: &Cycle, causes: &Causes) {
    let kinds = kinds(findings);
    let refuted: Vec<&str> =
        causes.all().iter().filter(|c| refuted(c, findings, cycle)).map(|c| c.word.as_str()).collect();
    let standing = causes.all().iter().filter(|c| !refuted.contains(&c.word.as_str()));
    let mut ranked: Vec<(&Cause, f64)> = standing.map(|cause| (cause, score(cause, &kinds))).collect();
    ranked.sort_by(|a, b| b.1.total_cmp(&a.1));
    let Some(&(best, score)) = ranked.first() else { return };
    if score <= 0.0 {
        // Nothing explains it: the findings speak for themselves.
        return;
    }
    let weight = |f: &Finding| best.explains(&f.kind());
    // Stable: what the best cause says nothing of keeps its order.
    findings.sort_by(|a, b| weight(b).partial_cmp(&weight(a)).unwrap_or(Ordering::Equal));
    for finding in findings {
        let own = finding.kind();
        // The best one is named beside all that it explains: a fill that is missing because the drain is blocked is no dead drain pump.
        let names = |cause: &Cause| {
            let worth = if cause.word == best.word { f64::MIN_POSITIVE } else { WORTH_NAMING.get() };
            cause.explains(&own) >= worth
        };
        let explaining = ranked.iter().filter(|(cause, _)| names(cause));
        let words: Vec<&str> =
            explaining.map(|(cause, _)| cause.word.as_str()).take(PUT_FIRST.get()).collect();
        finding.advice.suspects.retain(|s| !refuted.contains(&s.word.as_str()));
        finding.advice.put_first(&words, causes);
    }
}

/// Whether the machine does later in the cycle what it would do no more if this were at fault for good.
fn refuted(cause: &Cause, findings: &[Finding], cycle: &Cycle) -> bool {
    let Some(kind) = cause.refuted_by else { return false };
    let explained = findings.iter().filter(|f| cause.explains(&f.kind()) >= WORTH_NAMING.get());
    let first = explained.map(|f| f.start).min_by(|a, b| a.0.total_cmp(&b.0));
    first.is_some_and(|first| runs_after(cycle, kind, first).next().is_some())
}

/// What was found, in the words of the causes' file, and how often.
fn kinds(findings: &[Finding]) -> BTreeMap<String, u32> {
    let mut kinds = BTreeMap::new();
    for finding in findings {
        *kinds.entry(finding.kind()).or_insert(0) += 1;
    }
    kinds
}

/// How well a cause explains kinds of findings that came so often.
pub(crate) fn score(cause: &Cause, kinds: &BTreeMap<String, u32>) -> f64 {
    kinds.iter().map(|(kind, count)| score_of(cause.explains(kind), *count as usize)).sum()
}

/// What a kind of finding that came so often adds for a cause that explains it with this weight, and takes from one that does not.
pub(crate) fn score_of(weight: f64, count: usize) -> f64 {
    if weight > 0.0 { weight * (1.0 + AGAIN.get() * (count as f64).ln()) } else { -UNEXPLAINED.get() }
}

/// The odds of a suspect with this score, on one scale with those of the others.
pub(crate) fn odds_of(score: f64) -> f64 {
    (SHARPNESS.get() * score).exp()
}
