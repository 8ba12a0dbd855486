//! What to measure next of each finding: what parts its suspects best.

use super::causes::{Causes, Suspect};
use super::constants::{ONLY_NAMED, SOMETHING_ELSE};
use super::finding::Finding;
use super::measuring::{Suspected, best};
use super::ranking::odds_of;

/// Says of each finding what to measure next, as strongly as it alone speaks for each of its suspects, and what can hurt meanwhile.
pub(super) fn advise(findings: &mut [Finding], causes: &Causes) {
    for finding in findings {
        let weights = causes.weights(finding.departure, finding.does);
        let odds = |s: &Suspect| odds_of(weights.get(s.word.as_str()).copied().unwrap_or(ONLY_NAMED.get()));
        let advice = &mut finding.advice;
        let all: f64 = advice.suspects.iter().map(odds).sum::<f64>() + odds_of(SOMETHING_ELSE.get());
        let suspected: Vec<Suspected> =
            advice.suspects.iter().map(|s| (s.word.as_str(), odds(s) / all)).collect();
        let Some(step) = best(&suspected, causes, None) else { continue };
        advice.measurement.clone_from(&step.measurement.word);
        advice.next.clone_from(&step.measurement.what);
        advice.caution = causes.cautions_of(std::iter::once(step.measurement));
    }
}
