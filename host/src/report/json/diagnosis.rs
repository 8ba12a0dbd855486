//! What is the matter by all cycles together, in `check --json`.

use serde::Serialize;

use super::fields::rounded;
use crate::diagnosis::Diagnosis;
use crate::findings::{Causes, Severity, Sign, Step};
use crate::report::answer::customer;

#[derive(Serialize)]
pub(super) struct DiagnosisObject<'a> {
    severity: Severity,
    /// Numbers of the cycles that it was found in.
    cycles: Vec<usize>,
    /// The kinds of what was found.
    kinds: Vec<&'static str>,
    /// What may be behind it, the likeliest first.
    suspects: Vec<SuspectObject<'a>>,
    /// What to measure first, and next where that shows nothing.
    measurements: Vec<MeasurementObject<'a>>,
    customer: String,
}

#[derive(Serialize)]
struct SuspectObject<'a> {
    suspect: &'a str,
    text: &'a str,
    probability: f64,
}

#[derive(Serialize)]
struct MeasurementObject<'a> {
    measurement: &'a str,
    what: &'a str,
    /// Expected information about which suspect it is.
    bits: f64,
    shows: Vec<SignObject<'a>>,
}

#[derive(Serialize)]
struct SignObject<'a> {
    seen: &'a str,
    probability: f64,
    /// The suspect that is then the likeliest; absent where that is something else.
    suspect: Option<&'a str>,
}

/// The object of one.
pub(super) fn diagnosis<'a>(diagnosis: &'a Diagnosis, causes: &Causes) -> DiagnosisObject<'a> {
    let complaint = &diagnosis.complaint;
    let mut kinds: Vec<&'static str> = complaint.findings.iter().map(|(_, f)| f.departure.word()).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let suspects = &diagnosis.suspects;
    let sign = |s: &Sign<'a>| SignObject {
        seen: s.seen,
        probability: rounded(s.probability),
        suspect: s.means.map(|(i, _)| suspects[i].word.as_str()),
    };
    let measurement = |step: &'a Step<'a>| MeasurementObject {
        measurement: &step.measurement.word,
        what: &step.measurement.what,
        bits: rounded(step.bits),
        shows: step.signs.iter().map(sign).collect(),
    };
    DiagnosisObject {
        severity: complaint.severity(),
        cycles: complaint.cycles().into_iter().map(|c| c + 1).collect(),
        kinds,
        suspects: suspects
            .iter()
            .map(|s| SuspectObject { suspect: &s.word, text: &s.text, probability: rounded(s.probability) })
            .collect(),
        measurements: diagnosis.first.iter().chain(&diagnosis.then).map(measurement).collect(),
        customer: customer(diagnosis, causes),
    }
}
