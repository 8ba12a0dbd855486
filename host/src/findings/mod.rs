//! Findings: each departure from the chart, measured, with what may be behind it and what to measure next.

mod causes;
mod constants;
mod diagnosis;
mod placed;

use std::cmp::Ordering;

use tubtrace_units::Seconds;

pub use crate::checks::Surroundings;
use crate::checks::{self, Check, Context, Outside};
pub use crate::quantity::Quantity;
use constants::FOREIGN;

pub(crate) use constants::ALL as CONSTANTS;

pub use causes::{Advice, Causes, CausesError, Suspect};
pub use placed::Placed;

use crate::alignment::{Explanation, explain};
use crate::chart::Chart;
use crate::intervals::{Cycle, Kind};

/// One departure from the chart.
#[derive(Clone, Debug)]
pub struct Finding {
    /// The check that found it.
    pub departure: &'static Check,
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

/// A cycle held against a chart: what departs, what cannot be told, and where the intervals were found.
#[derive(Clone, Debug)]
pub struct Judged {
    /// The first is the one to begin with.
    pub findings: Vec<Finding>,
    /// What is outside of its limits, and within its uncertainty of them: no fault, and not nothing.
    pub undecided: Vec<Finding>,
    /// Where the intervals of the chart were found.
    pub placed: Vec<Placed>,
    /// Which phases of the cycle are which intervals of the chart.
    pub explanation: Explanation,
}

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
        self.explanation.cost > FOREIGN.get() * self.explanation.phases.len() as f64
    }
}

/// Holds a cycle against a chart, with the causes that come with the program.
#[must_use]
pub fn judge(chart: &Chart, cycle: &Cycle, surroundings: Surroundings) -> Judged {
    judge_with(chart, cycle, surroundings, Causes::built_in())
}

/// Holds a cycle against a chart.
#[must_use]
pub fn judge_with(chart: &Chart, cycle: &Cycle, surroundings: Surroundings, causes: &Causes) -> Judged {
    let explanation = explain(chart, cycle);
    let context = Context::new(chart, cycle, &explanation, surroundings);
    let placed = placed::placed(&context);
    let (mut decided, mut near): (Vec<_>, Vec<_>) =
        checks::judge(&context).into_iter().partition(Outside::is_decided);
    decided.sort_by(first_to_tell);
    near.sort_by(|a, b| a.start.total_cmp(&b.start));
    let mut findings: Vec<Finding> = decided.into_iter().map(|o| Finding::of(o, Some(causes))).collect();
    let undecided = near.into_iter().map(|o| Finding::of(o, None)).collect();
    diagnosis::rank(&mut findings, causes);
    Judged { findings, undecided, placed, explanation }
}

/// By the rank of the checks, and by time.
fn first_to_tell(a: &Outside, b: &Outside) -> Ordering {
    let rank = |o: &Outside| o.check.rank_while(o.does);
    rank(a).cmp(&rank(b)).then(a.start.total_cmp(&b.start))
}

impl Finding {
    /// Of what is outside, with what may be behind it if anybody knows.
    fn of(outside: Outside, causes: Option<&Causes>) -> Self {
        let decided = outside.is_decided();
        let Outside { check, interval, does, start, measured, expected, uncertainty, certainty, .. } =
            outside;
        let advice = causes.map(|causes| causes.advise(check, does)).unwrap_or_default();
        Self {
            departure: check,
            interval,
            does,
            start,
            measured,
            expected,
            uncertainty,
            certainty,
            decided,
            advice,
        }
    }
}
