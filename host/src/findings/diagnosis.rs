//! Diagnosis: which cause explains what was found best. A cause that explains several findings comes before one that
//! explains one, and what a cause leaves unexplained speaks against it.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::Finding;
use super::causes::{Cause, Causes};

/// What speaks against a cause for each kind of finding that it does not explain.
const UNEXPLAINED: f64 = 1.0;

/// How often a kind of finding comes adds this part of the logarithm of the number: they have one cause.
const AGAIN: f64 = 0.5;

/// A cause that a finding hardly speaks for is not named beside it.
const WORTH_NAMING: f64 = 1.3;

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
            let worth = if cause.word == best.word { f64::MIN_POSITIVE } else { WORTH_NAMING };
            cause.explains(&own) >= worth
        };
        let explaining = ranked.iter().filter(|(cause, _)| names(cause));
        let words: Vec<&str> = explaining.map(|(cause, _)| cause.word.as_str()).take(3).collect();
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
            0.0 => -UNEXPLAINED,
            weight => weight * (1.0 + AGAIN * f64::from(*count).ln()),
        })
        .sum()
}
