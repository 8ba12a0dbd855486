//! Findings: each departure from the chart, measured, with what may be behind it and what to measure next.

mod causes;
mod constants;
mod diagnosis;
mod placed;

use std::cmp::Ordering;

use tubtrace_units::Seconds;

pub use crate::checks::Surroundings;
use crate::checks::{self, Check, Context, Needs, Outside};
pub use crate::quantity::Quantity;
pub(crate) use constants::ALL as CONSTANTS;

pub use causes::{Advice, Causes, CausesError, Suspect};
pub use placed::Placed;

use crate::alignment::Explanation;
use crate::chart::Machine;
use crate::intervals::{Cycle, Kind};
use crate::programme::{Recognised, for_readings, recognise};

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

/// A cycle held against what its machine should do: what departs, what cannot be told, and where the intervals were found.
#[derive(Clone, Debug)]
pub struct Judged {
    /// The name of the programme that it is most like.
    pub programme: String,
    /// Whether it is of that programme, and held against it.
    pub known: Known,
    /// The first is the one to begin with. Of a cycle whose programme is not known: what can be said without one.
    pub findings: Vec<Finding>,
    /// What is outside of its limits, and within its uncertainty of them: no fault, and not nothing.
    pub undecided: Vec<Finding>,
    /// Where the intervals of the programme were found.
    pub placed: Vec<Placed>,
    /// Which phases of the cycle are which intervals of the programme.
    pub explanation: Explanation,
}

/// Whether the programme of a cycle is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Known {
    /// It is.
    Yes,
    /// The cycle is of no programme that is known.
    Unknown,
    /// There are too few other cycles like it, and no chart, to hold it against.
    Alone,
}

impl Known {
    /// What a check may need where this is known.
    const fn needs(self) -> Needs {
        match self {
            Self::Yes => Needs::Programme,
            Self::Unknown => Needs::Machine,
            Self::Alone => Needs::Nothing,
        }
    }
}

/// What a cycle comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is within its programme.
    Within,
    /// It departs.
    Departs,
    /// Its programme is not known, and nothing that can be said without one is wrong.
    Unknown,
}

impl Judged {
    /// What the cycle comes to.
    #[must_use]
    pub fn outcome(&self) -> Outcome {
        match self.known {
            _ if self.departs() => Outcome::Departs,
            Known::Yes => Outcome::Within,
            Known::Unknown | Known::Alone => Outcome::Unknown,
        }
    }

    /// Whether something is wrong with the cycle.
    #[must_use]
    pub fn departs(&self) -> bool {
        !self.findings.is_empty()
    }

    /// Whether there is anything to tell of it, a departure or what cannot be told.
    #[must_use]
    pub fn has_to_tell(&self) -> bool {
        self.departs() || !self.undecided.is_empty()
    }
}

/// Holds a cycle against what its machine should do, with the causes that come with the program.
#[must_use]
pub fn judge(machine: &Machine, cycle: &Cycle, surroundings: Surroundings) -> Judged {
    judge_with(machine, cycle, surroundings, Causes::built_in())
}

/// Holds a cycle against the programme of its machine that it is of.
#[must_use]
pub fn judge_with(machine: &Machine, cycle: &Cycle, surroundings: Surroundings, causes: &Causes) -> Judged {
    let machine = &*for_readings(machine, cycle.resolution);
    let recognised = recognise(machine, cycle);
    let known = if recognised.is_known() { Known::Yes } else { Known::Unknown };
    judge_as(machine, recognised, known, cycle, surroundings, causes)
}

/// Holds a cycle against the programme that it was recognised as.
#[must_use]
pub(crate) fn judge_as(
    machine: &Machine,
    recognised: Recognised,
    known: Known,
    cycle: &Cycle,
    surroundings: Surroundings,
    causes: &Causes,
) -> Judged {
    let Recognised { programme, explanation, .. } = recognised;
    let chart = &machine.programmes[programme];
    let context = Context::new(chart, cycle, &explanation, surroundings);
    let found = checks::judge(&context, known.needs());
    let (mut decided, mut near): (Vec<_>, Vec<_>) = found.into_iter().partition(Outside::is_decided);
    decided.sort_by(first_to_tell);
    near.sort_by(|a, b| a.start.total_cmp(&b.start));
    let placed = if known == Known::Yes { placed::placed(&context) } else { Vec::new() };
    let mut findings: Vec<Finding> = decided.into_iter().map(|o| Finding::of(o, Some(causes))).collect();
    let undecided = near.into_iter().map(|o| Finding::of(o, None)).collect();
    diagnosis::rank(&mut findings, causes);
    Judged { programme: chart.name.clone(), known, findings, undecided, placed, explanation }
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
