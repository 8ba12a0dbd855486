//! What an alignment gives: steps that say what each phase of a cycle is in the chart, and how probable they are together.

use std::ops::Range;

use super::phases::Phase;
use crate::chart::Chart;

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

impl Step {
    /// What it takes phases for: the first of the chart's intervals, how many of them, and which phases. None where something is missing or
    /// in no chart.
    #[must_use]
    pub fn covers(&self) -> Option<(Place, usize, Range<usize>)> {
        match self {
            Self::Matched { place, phases } => Some((*place, 1, phases.clone())),
            Self::Unheated { place, count, phases } => Some((*place, *count, phases.clone())),
            Self::Missing { .. } | Self::Extra { .. } => None,
        }
    }
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

    /// Whether nothing came of this copy of a part of the chart.
    #[must_use]
    pub fn leaves_out(&self, chart: &Chart, of: Place) -> bool {
        let missing = |interval: usize| {
            let is = |step: &Step| matches!(step, Step::Missing { place, .. } if *place == Place { interval, ..of });
            self.steps.iter().any(is)
        };
        (0..chart.parts[of.part].intervals.len()).all(missing)
    }
}

impl Step {
    /// The same step where so many phases come before.
    pub(super) fn later(self, by: usize) -> Self {
        let shift = |r: Range<usize>| r.start + by..r.end + by;
        match self {
            Self::Matched { place, phases } => Self::Matched { place, phases: shift(phases) },
            Self::Unheated { place, count, phases } => Self::Unheated { place, count, phases: shift(phases) },
            Self::Missing { place, before } => Self::Missing { place, before: before + by },
            Self::Extra { phase } => Self::Extra { phase: phase + by },
        }
    }
}
