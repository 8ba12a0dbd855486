//! The alignment: which observed interval is which of the chart's, found as the least improbable explanation.
//!
//! Dynamic programming over the chart's states. What the chart says may be left out, or come again, costs next to nothing;
//! what it does not say costs as much as it is improbable. Clock time is never compared.

mod constants;
mod cost;
mod means;
mod phases;
mod table;
mod weigh;

use std::ops::Range;

pub(crate) use constants::{ALL as CONSTANTS, BLINK, MISSING};
use constants::{BEGIN_AGAIN, BREAK, BREAK_OFF, BREAK_OFF_AT_END, BREAK_OFF_IN_WATER, MOST_BREAKS};
pub(crate) use cost::{stand_in, unseen};
pub use means::in_means;
pub(crate) use phases::lasted;
pub use phases::{Phase, phases};
pub use table::{align, alignments};
use weigh::weigh;

use crate::chart::Chart;
use crate::intervals::{Cycle, Kind};

/// One step of an explanation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// These phases are this interval of the chart.
    Matched {
        /// Where in the chart.
        place: Place,
        /// Which phases: its own kind first and last, interruptions between.
        phases: Range<usize>,
    },
    /// One stretch of washing stands where the chart has washing, a hold and perhaps washing again: the heat did not
    /// come, so nothing parts them.
    Unheated {
        /// The first of the chart's intervals.
        place: Place,
        /// How many of them, all in one part.
        count: usize,
        /// The phases that it is.
        phases: Range<usize>,
    },
    /// This interval of the chart did not come.
    Missing {
        /// Where in the chart.
        place: Place,
        /// The phase before which it should have come.
        before: usize,
    },
    /// This phase is in no chart.
    Extra {
        /// The index of the phase.
        phase: usize,
    },
}

/// An interval of a chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// The part, as an index into those of the chart.
    pub part: usize,
    /// Which time this part comes, from 0.
    pub copy: u32,
    /// The interval, as an index into those of the part.
    pub interval: usize,
}

/// An explanation of a cycle by a chart.
#[derive(Clone, Debug)]
pub struct Alignment {
    /// In order of time.
    pub steps: Vec<Step>,
    /// How improbable it is: minus the logarithm of a probability, but for a constant.
    pub cost: f64,
}

/// Whether an end of the observations is an end of the programme.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ends {
    /// The programme may have begun before the first phase.
    pub open_start: bool,
    /// The programme may have gone on after the last phase.
    pub open_end: bool,
}

impl Ends {
    /// The ends of a cycle: open where the log begins or ends within it.
    #[must_use]
    pub fn of(cycle: &Cycle) -> Self {
        Self { open_start: cycle.cut_at_start, open_end: cycle.cut_at_end }
    }
}

/// An explanation of a whole cycle.
#[derive(Clone, Debug)]
pub struct Explanation {
    /// The phases that are explained.
    pub phases: Vec<Phase>,
    /// In order of time.
    pub steps: Vec<Step>,
    /// How improbable it is, as in [`Alignment::cost`]; among several hypotheses, that of the hypothesis is in it.
    pub cost: f64,
    /// What it has the cycle be.
    pub hypothesis: Hypothesis,
    /// Its probability beside the others that were weighed: the other hypotheses, and the next best alignments of this one.
    pub probability: f64,
    /// The next best that says something else, if there is any.
    pub runner_up: Option<RunnerUp>,
}

/// An explanation that was not chosen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunnerUp {
    /// What it has the cycle be.
    pub hypothesis: Hypothesis,
    /// The phase from which on it says something else than the one that was chosen.
    pub from: usize,
    /// Its probability beside the others.
    pub probability: f64,
}

/// What an explanation has a cycle be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hypothesis {
    /// The programme once, from its start to its end.
    Whole,
    /// It broke off at this phase, a pause or a gap, and began again after it.
    BeganAgain(usize),
    /// It broke off after the last phase, and did not go on.
    BrokeOff,
}

impl Explanation {
    /// The phase, a pause or a gap, at which the programme broke off to begin again.
    #[must_use]
    pub const fn began_again(&self) -> Option<usize> {
        if let Hypothesis::BeganAgain(at) = self.hypothesis { Some(at) } else { None }
    }
}

/// Alignments of the best hypothesis that are weighed against each other.
const WEIGHED: usize = 6;

/// Explains a cycle by a chart, if need be as one that broke off and began again.
#[must_use]
pub fn explain(chart: &Chart, cycle: &Cycle) -> Explanation {
    let phases = phases(&cycle.intervals, cycle.resolution);
    let mut tried: Vec<(Alignment, Hypothesis)> = hypotheses(&phases, Ends::of(cycle))
        .into_iter()
        .filter_map(|hypothesis| {
            Some((align_as::<1>(chart, &phases, Ends::of(cycle), hypothesis).pop()?, hypothesis))
        })
        .collect();
    tried.sort_by(|a, b| a.0.cost.total_cmp(&b.0.cost));
    let hypothesis = tried.first().map_or(Hypothesis::Whole, |t| t.1);
    // Of the best hypothesis also what is next best; of the others their best is enough.
    tried.retain(|t| t.1 != hypothesis);
    let alike = align_as::<WEIGHED>(chart, &phases, Ends::of(cycle), hypothesis);
    tried.extend(alike.into_iter().map(|alignment| (alignment, hypothesis)));
    tried.sort_by(|a, b| a.0.cost.total_cmp(&b.0.cost));
    weigh(chart, phases, tried)
}

/// The hypotheses that are tried: whole, begun again at one of the longest pauses, or broken off.
fn hypotheses(phases: &[Phase], ends: Ends) -> Vec<Hypothesis> {
    let breaks = |a: &Phase| matches!(a.kind, Kind::Pause | Kind::Gap) && a.duration() >= BREAK.get();
    let mut breaks: Vec<usize> = (0..phases.len()).filter(|&at| breaks(&phases[at])).collect();
    breaks.sort_by(|&a, &b| phases[b].duration().total_cmp(&phases[a].duration()));
    breaks.truncate(MOST_BREAKS.get());
    breaks.sort_unstable();
    let again = breaks.into_iter().map(Hypothesis::BeganAgain);
    // Where the log ends before the programme does, nobody can say that it broke off.
    let off = (!ends.open_end).then_some(Hypothesis::BrokeOff);
    std::iter::once(Hypothesis::Whole).chain(again).chain(off).collect()
}

/// The `K` best alignments under a hypothesis, or fewer.
fn align_as<const K: usize>(
    chart: &Chart,
    phases: &[Phase],
    ends: Ends,
    hypothesis: Hypothesis,
) -> Vec<Alignment> {
    match hypothesis {
        Hypothesis::Whole => alignments::<K>(chart, phases, ends),
        Hypothesis::BrokeOff => {
            let open = alignments::<K>(chart, phases, Ends { open_end: true, ..ends });
            let cost = break_off(&phases[phases.len().saturating_sub(1)..]);
            open.into_iter().map(|a| Alignment { cost: a.cost + cost, ..a }).collect()
        }
        Hypothesis::BeganAgain(at) => {
            let before = alignments::<K>(chart, &phases[..at], Ends { open_end: true, ..ends });
            let after = alignments::<K>(chart, &phases[at + 1..], Ends { open_start: false, ..ends });
            let both = |b: &Alignment, a: &Alignment| Alignment {
                steps: b
                    .steps
                    .iter()
                    .cloned()
                    .chain(a.steps.iter().cloned().map(|s| s.later(at + 1)))
                    .collect(),
                cost: b.cost + BEGIN_AGAIN.get() + a.cost,
            };
            let mut all: Vec<Alignment> =
                before.iter().flat_map(|b| after.iter().map(|a| both(b, a))).collect();
            all.sort_by(|a, b| a.cost.total_cmp(&b.cost));
            all.truncate(K);
            all
        }
    }
}

/// What it costs that a programme breaks off after its last phase. What breaks off does so in the middle of something: a cycle that drains
/// or dries last has ended, and one that has water in the tub has not.
pub(crate) fn break_off(last: &[Phase]) -> f64 {
    match last.last().map(|a| a.kind) {
        Some(Kind::Fill | Kind::Wash | Kind::Heat) => BREAK_OFF_IN_WATER.get(),
        Some(Kind::Drain | Kind::Dry) => BREAK_OFF.get() + BREAK_OFF_AT_END.get(),
        _ => BREAK_OFF.get(),
    }
}

impl Step {
    /// The same step where so many phases come before.
    fn later(self, by: usize) -> Self {
        let shift = |r: Range<usize>| r.start + by..r.end + by;
        match self {
            Self::Matched { place, phases } => Self::Matched { place, phases: shift(phases) },
            Self::Unheated { place, count, phases } => Self::Unheated { place, count, phases: shift(phases) },
            Self::Missing { place, before } => Self::Missing { place, before: before + by },
            Self::Extra { phase } => Self::Extra { phase: phase + by },
        }
    }
}
