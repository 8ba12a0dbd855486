//! Findings: each departure from the chart, measured, with what may be behind it and what to measure next.

mod causes;
mod departure;
mod diagnosis;
mod flow;
mod heat;
mod order;
mod placed;
mod quantity;
mod signs;
mod times;
mod uncertainty;

use std::cmp::Ordering;

use tubtrace_units::Seconds;

pub use causes::{Advice, Causes, CausesError, Suspect};
pub use departure::Departure;
pub use placed::Placed;
pub use quantity::Quantity;
use uncertainty::Band;

use crate::alignment::{Act, Explanation, Place, Step, explain};
use crate::chart::{Chart, Expected, Limits};
use crate::intervals::{Cycle, Interval, Kind, Seen};
use crate::trace::{Noise, Trace};

/// One departure from the chart.
#[derive(Clone, Debug)]
pub struct Finding {
    /// What kind.
    pub departure: Departure,
    /// The interval of the chart or, for what is in none, of the machine.
    pub interval: String,
    /// What the machine does, or should do, in it.
    pub does: Kind,
    /// When it begins, from the first sample of the log.
    pub start: Seconds,
    /// What was measured.
    pub measured: Quantity,
    /// The least and the most that is expected; `None` is open.
    pub expected: (Option<Quantity>, Option<Quantity>),
    /// Expanded uncertainty (k = 2) of the measurement.
    pub uncertainty: Quantity,
    /// Probability that it is one, as far as the loads are known.
    pub certainty: f64,
    /// Whether it can be told: it is outside by more than its uncertainty, and the loads are known well enough.
    pub decided: bool,
    /// What may be behind it, and what to do next.
    pub advice: Advice,
}

/// What a cycle comes to.
#[derive(Clone, Debug)]
pub struct Judged {
    /// The first is the one to begin with.
    pub findings: Vec<Finding>,
    /// What is outside of its limits, and within its uncertainty of them: no fault, and not nothing.
    pub undecided: Vec<Finding>,
    /// Where the intervals of the chart were found.
    pub placed: Vec<Placed>,
    /// How it was explained.
    pub explanation: Explanation,
}

/// A cycle whose explanation costs more than this an act fits so poorly that it may be another programme.
const FOREIGN: f64 = 2.6;

impl Judged {
    /// Whether the cycle departs from what it was held against.
    #[must_use]
    pub fn departs(&self) -> bool {
        !self.findings.is_empty()
    }

    /// Whether there is anything to tell of it, a departure or what cannot be told.
    #[must_use]
    pub fn has_to_tell(&self) -> bool {
        self.departs() || !self.undecided.is_empty()
    }

    /// Whether the cycle fits the chart so poorly that it may be another programme, or another machine.
    #[must_use]
    pub fn is_foreign(&self) -> bool {
        self.explanation.cost > FOREIGN * self.explanation.acts.len() as f64
    }
}

/// What is known of the log beside the cycle.
#[derive(Clone, Copy, Debug)]
pub struct Surroundings {
    /// Time between two readings.
    pub resolution: Seconds,
    /// The quietest that the supply line was while idle.
    pub quiet_supply: Option<Noise>,
    /// The logger stopped because its battery was empty.
    pub battery_ended: bool,
}

/// A pickup hears at least its converter's noise, in counts. Common practice, no source.
const HEARS_ITSELF: f64 = 0.5;

impl Surroundings {
    /// Of a log with these cycles.
    #[must_use]
    pub fn of(trace: &Trace, cycles: &[Cycle]) -> Self {
        // A pickup that hears less than its own noise has come off: it is no measure for the others.
        let idle = cycles.iter().filter_map(|c| c.idle_supply_noise).filter(|n| n.0 > HEARS_ITSELF);
        Self {
            resolution: trace.resolution,
            quiet_supply: idle.min_by(|a, b| a.0.total_cmp(&b.0)),
            battery_ended: trace.battery_ended,
        }
    }
}

/// Below this probability that the loads are what they are taken for, it cannot be told, and is no finding.
const CANNOT_TELL: f64 = 0.6;

/// Holds a cycle against a chart, with the causes that come with the program.
#[must_use]
pub fn judge(chart: &Chart, cycle: &Cycle, surroundings: Surroundings) -> Judged {
    judge_with(chart, cycle, surroundings, Causes::built_in())
}

/// Holds a cycle against a chart.
#[must_use]
pub fn judge_with(chart: &Chart, cycle: &Cycle, surroundings: Surroundings, causes: &Causes) -> Judged {
    let explanation = explain(chart, cycle);
    let case = Case { chart, cycle, explanation: &explanation, surroundings };
    let placed = placed::placed(&case);
    let mut findings = Vec::new();
    if cycle.seen != Seen::Current {
        findings.push(signs::never_seen(&case));
    } else {
        look(&case, &mut findings);
    }
    // What cannot be told is no premise for anything else.
    let (mut findings, mut undecided): (Vec<_>, Vec<_>) = findings.into_iter().partition(|f| f.decided);
    if cycle.seen == Seen::Current {
        signs::look(&case, &mut findings);
    }
    for finding in &mut findings {
        finding.decided = finding.certainty >= CANNOT_TELL;
    }
    undecided.extend(findings.extract_if(.., |f| !f.decided));
    findings.sort_by(first_to_tell);
    for finding in &mut findings {
        finding.advice = causes.advise(finding.departure, finding.does);
    }
    undecided.sort_by(|a, b| a.start.total_cmp(&b.start));
    diagnosis::rank(&mut findings, causes);
    Judged { findings, undecided, placed, explanation }
}

fn look(case: &Case, findings: &mut Vec<Finding>) {
    order::look(case, findings);
    times::look(case, findings);
    heat::look(case, findings);
    flow::look(case, findings);
}

/// A fill that takes too long or too short is told before what is merely late: water is the usual reason.
fn first_to_tell(a: &Finding, b: &Finding) -> Ordering {
    let rank = |f: &Finding| match (f.departure, f.does) {
        (Departure::TooLong | Departure::TooShort, Kind::Fill) => (Departure::NeverPurged, 0),
        (departure, _) => (departure, 1),
    };
    rank(a).cmp(&rank(b)).then(a.start.total_cmp(&b.start))
}

/// All that the looks need.
struct Case<'a> {
    chart: &'a Chart,
    cycle: &'a Cycle,
    explanation: &'a Explanation,
    surroundings: Surroundings,
}

impl<'a> Case<'a> {
    fn expected(&self, place: Place) -> &'a Expected {
        &self.chart.parts[place.part].intervals[place.interval]
    }

    /// Every interval of the chart that came, with its acts.
    fn matched(&self) -> impl Iterator<Item = (Place, &'a Expected, &'a [Act])> + '_ {
        self.explanation.steps.iter().filter_map(|step| match step {
            Step::Matched { place, acts } => {
                Some((*place, self.expected(*place), &self.explanation.acts[acts.clone()]))
            }
            _ => None,
        })
    }

    /// The intervals of the cycle that some acts are made of.
    fn intervals(&self, acts: &'a [Act]) -> impl Iterator<Item = &'a Interval> {
        let all = &self.cycle.intervals;
        acts.iter().flat_map(|a| &all[a.intervals.clone()])
    }

    /// Whether there are pickups.
    fn hears_flow(&self) -> bool {
        self.cycle.intervals.iter().any(|i| i.measured.supply_noise.is_some())
    }

    /// The name of an interval, with its part where the part comes more than once.
    fn name(&self, place: Place) -> String {
        let name = &self.expected(place).name;
        if place.copy > 0 { format!("{name} ({})", place.copy + 1) } else { name.clone() }
    }

    /// Probability that these acts are what they are taken for, weighted by time.
    fn certainty(&self, acts: &'a [Act]) -> f64 {
        let (mut sum, mut time) = (0.0, 0.0);
        for i in self.intervals(acts).filter(|i| i.kind != Kind::Gap) {
            sum += i.certainty * i.duration().0;
            time += i.duration().0;
        }
        if time > 0.0 { sum / time } else { 0.5 }
    }

    fn finding(&self, departure: Departure, place: Place, start: Seconds, measured: Measurement) -> Finding {
        let does = self.expected(place).kind;
        finding(departure, self.name(place), does, start, measured)
    }
}

/// A measurement outside of limits.
struct Measurement {
    measured: Quantity,
    expected: (Option<Quantity>, Option<Quantity>),
    uncertainty: Quantity,
    certainty: f64,
    band: Band,
}

fn finding(departure: Departure, interval: String, does: Kind, start: Seconds, m: Measurement) -> Finding {
    let Measurement { measured, expected, uncertainty, certainty, band } = m;
    // What to do about it is looked up when all is found.
    let advice = Advice::default();
    let decided = band == Band::Beyond;
    Finding { departure, interval, does, start, measured, expected, uncertainty, certainty, decided, advice }
}

/// Limits as a finding gives them.
fn both<T: Copy>(limits: Limits<T>, quantity: fn(T) -> Quantity) -> (Option<Quantity>, Option<Quantity>) {
    (Some(quantity(limits.low)), Some(quantity(limits.high)))
}
