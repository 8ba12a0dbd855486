//! The same for programs. Field names are part of the command's interface: they are added to, never changed.

use serde::Serialize;
use tubtrace_units::{LitresPerMinute, Loads, Seconds};

use super::answer::customer;
use super::subject::{Subject, Verdict};
use crate::alignment::Hypothesis;
use crate::diagnosis::Diagnosis;
use crate::findings::{Causes, Finding, Judged, Known, Outcome, Severity, Sign, Step};
use crate::intervals::{Cycle, Interval, Kind, Measured, Settled, filled, heated_waters, hidden_ends};
use crate::job::Job;
use crate::log::Notes;
use crate::sheet::{Change, Options};
use crate::trace::Trace;

#[derive(Serialize)]
struct TimelineObject<'a> {
    /// What the log calls itself.
    label: &'a str,
    /// What is known of the job.
    job: &'a Job,
    cycles: Vec<CycleObject>,
    /// Time of the first sample, RFC 3339; absent where the log has none.
    start: Option<String>,
    nominal_volts: f64,
    notes: &'a Notes,
}

#[derive(Serialize)]
struct CycleObject {
    start_s: f64,
    end_s: f64,
    /// Whether the log does not have how it begins: it begins before the log, or in a hole of it.
    begins_before_log: bool,
    /// Whether the log does not have how it ends.
    ends_after_log: bool,
    /// Whether that is for a hole in the log.
    hole_at_start: bool,
    hole_at_end: bool,
    intervals: Vec<IntervalObject>,
    /// Waters whose heat balance could be made.
    waters: Vec<WaterObject>,
    /// How long the valve was open for each water, and with its flow how much that is.
    filled: Vec<FilledObject>,
}

#[derive(Serialize)]
struct FilledObject {
    water: u32,
    lasts_s: f64,
    litres: Option<f64>,
}

#[derive(Serialize)]
struct WaterObject {
    water: u32,
    litres_at_most: f64,
    uncertainty: f64,
}

#[derive(Serialize)]
struct IntervalObject {
    name: Kind,
    start_s: f64,
    end_s: f64,
    /// Expanded uncertainty (k = 2) of how long it lasts.
    lasts_uncertainty_s: Option<f64>,
    loads: Loads,
    amps: Option<f64>,
    watts: Option<f64>,
    /// Expanded uncertainty (k = 2) of that.
    watts_uncertainty: Option<f64>,
    certainty: f64,
    water: u32,
    supply_c: Option<SettledObject>,
    drain_c: Option<SettledObject>,
}

#[derive(Serialize)]
struct SettledObject {
    water: f64,
    clip: f64,
    lag_s: f64,
    uncertainty: f64,
}

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
struct DiagnosisObject<'a> {
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

/// `timeline --json`: one object on one line.
#[must_use]
pub fn timeline_json(subject: Subject) -> String {
    let trace = &subject.log.trace;
    to_line(&TimelineObject {
        label: &trace.label,
        job: subject.job,
        cycles: subject.cycles.iter().map(|c| cycle(c, trace, subject.inlet)).collect(),
        start: start(trace),
        nominal_volts: trace.nominal.volts.0,
        notes: &subject.log.notes,
    })
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

/// Time of the first sample, where the log knows it.
fn start(trace: &Trace) -> Option<String> {
    trace.clock.map(|c| c.start.display_with_offset(c.zone.offset()).to_string())
}

/// Seconds to a millisecond: more digits would be the noise of binary fractions.
fn seconds(time: Seconds) -> f64 {
    rounded(time.0)
}

fn rounded(value: f64) -> f64 {
    (value * 1_000.0).round() / 1_000.0
}

fn word(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Within => "within",
        Outcome::Departs => "departs",
        Outcome::Unknown => "unknown-programme",
    }
}

fn cycle(cycle: &Cycle, trace: &Trace, inlet: Option<LitresPerMinute>) -> CycleObject {
    let [hole_at_start, hole_at_end] = hidden_ends(cycle, trace);
    CycleObject {
        start_s: seconds(cycle.start()),
        end_s: seconds(cycle.end()),
        begins_before_log: cycle.cut_at_start,
        ends_after_log: cycle.cut_at_end,
        hole_at_start,
        hole_at_end,
        intervals: cycle.intervals.iter().map(interval).collect(),
        waters: heated_waters(cycle)
            .iter()
            .map(|w| WaterObject {
                water: w.water,
                litres_at_most: rounded(w.at_most.0),
                uncertainty: rounded(w.uncertainty.0),
            })
            .collect(),
        filled: filled(cycle)
            .into_iter()
            .map(|(water, time)| FilledObject {
                water,
                lasts_s: seconds(time),
                litres: inlet.map(|flow| rounded(flow.during(time).0)),
            })
            .collect(),
    }
}

fn interval(interval: &Interval) -> IntervalObject {
    let measured = (interval.kind != Kind::Gap).then_some(&interval.measured);
    let settled = |s: Settled| SettledObject {
        water: rounded(s.water.0),
        clip: rounded(s.clip.0),
        lag_s: s.lag.0,
        uncertainty: rounded(s.uncertainty.0),
    };
    IntervalObject {
        name: interval.kind,
        start_s: seconds(interval.start),
        end_s: seconds(interval.end),
        lasts_uncertainty_s: measured.map(|_| seconds(interval.lasts_doubt())),
        loads: interval.loads,
        amps: measured.map(|m| rounded(m.amps.0)),
        watts: measured.map(|m| rounded(m.power.0)),
        watts_uncertainty: measured.and_then(Measured::power_doubt).map(|u| rounded(u.0)),
        certainty: rounded(interval.certainty),
        water: interval.water,
        supply_c: measured.and_then(|m| m.supply).map(settled),
        drain_c: measured.and_then(|m| m.drain).map(settled),
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

fn diagnosis<'a>(diagnosis: &'a Diagnosis, causes: &Causes) -> DiagnosisObject<'a> {
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

fn to_line(object: &impl Serialize) -> String {
    // Strings and finite numbers only: it cannot fail.
    serde_json::to_string(object).unwrap_or_default()
}
