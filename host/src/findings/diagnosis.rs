//! Diagnosis: which cause explains what was found best. A cause that explains several findings comes before one that
//! explains one, and what a cause leaves unexplained speaks against it.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::causes::{Cause, Causes};
use super::constants::{AGAIN, PUT_FIRST, UNEXPLAINED, WORTH_NAMING};
use super::finding::Finding;

/// Puts the causes that explain most first, and with them the findings that they explain.
pub(super) fn rank(findings: &mut [Finding], causes: &Causes) {
    let kinds = kinds(findings);
    let mut ranked: Vec<(&Cause, f64)> =
        causes.all().iter().map(|cause| (cause, score(cause, &kinds))).collect();
    ranked.sort_by(|a, b| b.1.total_cmp(&a.1));
    let Some(&(best, score)) = ranked.first() else { return };
    if score <= 0.0 {
        // Nothing explains it: the findings speak for themselves.
        return;
    }
    let weight = |f: &Finding| best.explains(&kind(f));
    // Stable: what the best cause says nothing of keeps its order.
    findings.sort_by(|a, b| weight(b).partial_cmp(&weight(a)).unwrap_or(Ordering::Equal));
    for finding in findings {
        let own = kind(finding);
        // The best one is named beside all that it explains: a fill that is missing because the drain is blocked is no dead drain pump.
        let names = |cause: &Cause| {
            let worth = if cause.word == best.word { f64::MIN_POSITIVE } else { WORTH_NAMING.get() };
            cause.explains(&own) >= worth
        };
        let explaining = ranked.iter().filter(|(cause, _)| names(cause));
        let words: Vec<&str> =
            explaining.map(|(cause, _)| cause.word.as_str()).take(PUT_FIRST.get()).collect();
        finding.advice.put_first(&words, causes);
    }
}

/// What was found, in the words of the causes' file, and how often.
fn kinds(findings: &[Finding]) -> BTreeMap<String, u32> {
    let mut kinds = BTreeMap::new();
    for finding in findings {
        *kinds.entry(kind(finding)).or_insert(0) += 1;
    }
    kinds
}

fn kind(finding: &Finding) -> String {
    format!("{} {}", finding.departure, finding.does)
}

fn score(cause: &Cause, kinds: &BTreeMap<String, u32>) -> f64 {
    kinds
        .iter()
        .map(|(kind, count)| match cause.explains(kind) {
            0.0 => -UNEXPLAINED.get(),
            weight => weight * (1.0 + AGAIN.get() * f64::from(*count).ln()),
        })
        .sum()
}
