//! `check --json`.

use serde::Serialize;

use super::diagnosis::{DiagnosisObject, diagnosis};
use super::fields::{rounded, seconds, start, to_line};
use crate::alignment::Hypothesis;
use crate::findings::{Finding, Judged, Known, Outcome, Severity};
use crate::intervals::{Cycle, Kind};
use crate::job::Job;
use crate::log::Notes;
use crate::report::subject::Verdict;
use crate::sheet::{Change, Options};

#[derive(Serialize)]
struct CheckObject<'a> {
    verdict: &'static str,
    /// What the log calls itself.
    label: &'a str,
    /// What is known of the job.
    job: &'a Job,
    /// Time of the first sample, RFC 3339; absent where the log has none.
    start: Option<String>,
    chart: &'a str,
    findings: Vec<FindingObject<'a>>,
    /// What is the matter by all cycles together, the gravest first.
    diagnoses: Vec<DiagnosisObject<'a>>,
    /// Outside of its limits, and within its uncertainty of them.
    cannot_tell: Vec<FindingObject<'a>>,
    /// Unusual, and what healthy machines of some makes do: no cycle departs for it.
    unusual: Vec<FindingObject<'a>>,
    cycles: Vec<CycleVerdict<'a>>,
    notes: &'a Notes,
}

#[derive(Serialize)]
struct CycleVerdict<'a> {
    cycle: usize,
    start_s: f64,
    end_s: f64,
    verdict: &'static str,
    /// It is of no programme that is known, or there is nothing to compare it with.
    foreign: bool,
    /// The programme of the machine that it is of.
    programme: Option<String>,
    /// The programme of the machine that it is like, where it is of none that is known.
    like: Option<&'a str>,
    /// The kinds of departure by which it differs from that one, which a choice of another programme explains.
    differs: Vec<&'static str>,
    /// The odds that it is of the programme that it is held against, and not of one that nobody taught; absent where there is none.
    odds: Option<f64>,
    /// Probability of the explanation that the findings rest on, and the next best one.
    explanation: f64,
    next_best: Option<RivalObject>,
    /// The choices at the panel that explain what is not within the sheet; absent where there is no sheet, or nothing to explain.
    #[serde(skip_serializing_if = "Option::is_none")]
    options: Option<OptionsObject<'a>>,
}

/// Choices at the panel, as changes to the sheet.
#[derive(Serialize)]
struct OptionsObject<'a> {
    /// Whether they explain all of it.
    all: bool,
    changes: Vec<ChangeObject<'a>>,
}

#[derive(Serialize)]
struct ChangeObject<'a> {
    /// Which line of the sheet.
    line: usize,
    /// What stands there; absent where a line would have to be put above it.
    now: Option<&'a str>,
    instead: &'a str,
}

/// An explanation that was not chosen.
#[derive(Serialize)]
struct RivalObject {
    /// What it has the cycle be: the whole programme, one that began again, one that broke off.
    is: &'static str,
    /// From when on it differs.
    from_s: Option<f64>,
    probability: f64,
}

#[derive(Serialize)]
struct FindingObject<'a> {
    kind: &'static str,
    /// Number of the cycle in its log; the first is 1.
    cycle: usize,
    interval: &'a str,
    does: Kind,
    start_s: f64,
    measured: f64,
    expected: [Option<f64>; 2],
    unit: &'static str,
    uncertainty: f64,
    certainty: f64,
    severity: Severity,
    /// Whether it follows from another finding of its cycle, which stands before it.
    follows: bool,
    suspects: Vec<&'a str>,
    /// The word of what to measure next, and what that is.
    measurement: &'a str,
    next: &'a str,
    caution: &'a str,
}

/// `check --json`: one object on one line.
#[must_use]
pub fn check_json(verdict: Verdict) -> String {
    let all = |of: fn(&Judged) -> &[Finding]| {
        let judged = verdict.judged.iter().enumerate();
        judged.flat_map(|(i, j)| of(j).iter().map(move |f| finding(i + 1, f))).collect()
    };
    let cycles = verdict.subject.cycles.iter().zip(verdict.judged).enumerate();
    to_line(&CheckObject {
        verdict: word(verdict.outcome()),
        label: &verdict.subject.log.trace.label,
        job: verdict.subject.job,
        start: start(&verdict.subject.log.trace),
        chart: verdict.chart,
        findings: all(|j| &j.findings),
        diagnoses: verdict.diagnoses.iter().map(|d| diagnosis(d, verdict.causes)).collect(),
        cannot_tell: all(|j| &j.undecided),
        unusual: all(|j| &j.unusual),
        cycles: cycles
            .map(|(i, (c, j))| cycle_verdict(i + 1, c, j, verdict.options.get(i).and_then(Option::as_ref)))
            .collect(),
        notes: &verdict.subject.log.notes,
    })
}

fn word(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Within => "within",
        Outcome::Departs => "departs",
        Outcome::Unknown => "unknown-programme",
    }
}

fn cycle_verdict<'a>(
    number: usize,
    cycle: &Cycle,
    judged: &'a Judged,
    options: Option<&'a Options>,
) -> CycleVerdict<'a> {
    let change = |c: &'a Change| ChangeObject { line: c.line, now: c.now.as_deref(), instead: &c.instead };
    CycleVerdict {
        cycle: number,
        start_s: seconds(cycle.start()),
        end_s: seconds(cycle.end()),
        verdict: word(judged.outcome()),
        foreign: judged.known != Known::Yes,
        programme: (judged.known == Known::Yes).then(|| judged.programme.clone()),
        like: (judged.known == Known::Like).then_some(judged.programme.as_str()),
        differs: judged.differs.iter().map(|f| f.departure.word()).collect(),
        odds: (judged.known != Known::Alone).then(|| rounded(judged.odds.stated())),
        explanation: rounded(judged.explanation.probability),
        next_best: judged.explanation.runner_up.map(|rival| RivalObject {
            is: match rival.hypothesis {
                Hypothesis::Whole => "whole",
                Hypothesis::BeganAgain(_) => "began-again",
                Hypothesis::BrokeOff => "broke-off",
            },
            from_s: judged.explanation.phases.get(rival.from).map(|act| seconds(act.start)),
            probability: rounded(rival.probability),
        }),
        options: options
            .map(|o| OptionsObject { all: o.all, changes: o.changes.iter().map(change).collect() }),
    }
}

fn finding(cycle: usize, f: &Finding) -> FindingObject<'_> {
    let number = |q: crate::findings::Quantity| rounded(q.number());
    FindingObject {
        kind: f.departure.word(),
        cycle,
        interval: &f.interval,
        does: f.does,
        start_s: seconds(f.start),
        measured: number(f.measured),
        expected: [f.expected.0.map(number), f.expected.1.map(number)],
        unit: f.measured.unit(),
        uncertainty: number(f.uncertainty),
        certainty: rounded(f.certainty),
        severity: f.severity(),
        follows: f.follows.is_some(),
        suspects: f.advice.suspects.iter().map(|s| s.word.as_str()).collect(),
        measurement: &f.advice.measurement,
        next: &f.advice.next,
        caution: &f.advice.caution,
    }
}
