//! The alignment: which observed interval is which of the chart's, found as the least improbable explanation.
//!
//! Dynamic programming over the chart's states. What the chart says may be left out, or come again, costs next to nothing;
//! what it does not say costs as much as it is improbable. Clock time is never compared.

mod acts;
mod cost;
mod table;

use std::ops::Range;

pub(crate) use acts::lasted;
pub use acts::{Act, acts};
pub(crate) use cost::unseen;
pub use table::align;
use tubtrace_units::Seconds;

use crate::chart::Chart;
use crate::intervals::{Cycle, Kind};

/// One step of an explanation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// The acts `acts` are this interval of the chart.
    Matched {
        /// Where in the chart.
        place: Place,
        /// Which acts: its own kind first and last, interruptions between.
        acts: Range<usize>,
    },
    /// One stretch of washing stands where the chart has washing, a hold and perhaps washing again: the heat did not
    /// come, so nothing parts them.
    Unheated {
        /// The first of the chart's intervals.
        place: Place,
        /// How many of them, all in one part.
        count: usize,
        /// Which acts.
        acts: Range<usize>,
    },
    /// This interval of the chart did not come.
    Missing {
        /// Where in the chart.
        place: Place,
        /// The act before which it should have come.
        before: usize,
    },
    /// This act is in no chart.
    Extra {
        /// Which.
        act: usize,
    },
}

/// An interval of a chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// The part.
    pub part: usize,
    /// Which time this part comes, from 0.
    pub copy: u32,
    /// The interval in the part.
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
    /// The programme may have begun before the first act.
    pub open_start: bool,
    /// It may have gone on after the last.
    pub open_end: bool,
}

impl Ends {
    /// As the cycle says.
    #[must_use]
    pub fn of(cycle: &Cycle) -> Self {
        Self { open_start: cycle.cut_at_start, open_end: cycle.cut_at_end }
    }
}

/// An explanation of a whole cycle.
#[derive(Clone, Debug)]
pub struct Explanation {
    /// The acts that are explained.
    pub acts: Vec<Act>,
    /// In order of time.
    pub steps: Vec<Step>,
    /// As in [`Alignment`].
    pub cost: f64,
    /// The programme broke off at this act, a pause or a gap, and began again after it.
    pub began_again: Option<usize>,
    /// The programme broke off after the last act, and did not go on.
    pub broke_off: bool,
    /// Probability of this explanation beside the others that were tried.
    pub probability: f64,
    /// What the next best explanation has it be.
    pub next_best: Story,
}

/// What an explanation has a cycle be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Story {
    /// The programme once, from its start to its end.
    Whole,
    /// It broke off at this act and began again.
    BeganAgain(usize),
    /// It broke off and did not go on.
    BrokeOff,
}

/// What it costs that a programme breaks off and begins again.
const BEGIN_AGAIN: f64 = 8.0;

/// What it costs that a programme breaks off for good. Less than two intervals that are missing, and more than one.
const BREAK_OFF: f64 = 20.0;

/// A pause shorter than this breaks nothing off.
const BREAK: Seconds = Seconds(60.0);

/// Explains a cycle by a chart, if need be as one that broke off and began again.
#[must_use]
pub fn explain(chart: &Chart, cycle: &Cycle) -> Explanation {
    let acts = acts(&cycle.intervals);
    let ends = Ends::of(cycle);
    let whole = align(chart, &acts, ends);
    let breaks = acts
        .iter()
        .enumerate()
        .filter(|(_, a)| matches!(a.kind, Kind::Pause | Kind::Gap) && a.duration() >= BREAK);
    let again = breaks.map(|(at, _)| {
        let before = align(chart, &acts[..at], Ends { open_end: true, ..ends });
        let after = align(chart, &acts[at + 1..], Ends { open_start: false, ..ends });
        let cost = before.cost + BEGIN_AGAIN + after.cost;
        let steps =
            before.steps.into_iter().chain(after.steps.into_iter().map(|s| s.later(at + 1))).collect();
        (Alignment { steps, cost }, Story::BeganAgain(at))
    });
    let open = align(chart, &acts, Ends { open_end: true, ..ends });
    let off = Alignment { cost: open.cost + BREAK_OFF, ..open };
    // Where the log ends before the programme does, nobody can say that it broke off.
    let off = (!ends.open_end).then_some((off, Story::BrokeOff));
    let mut stories: Vec<(Alignment, Story)> = again.chain(off).collect();
    stories.insert(0, (whole, Story::Whole));
    stories.sort_by(|a, b| a.0.cost.total_cmp(&b.0.cost));

    let next_best = stories.get(1).map_or(Story::Whole, |s| s.1);
    let (best, story) = stories.swap_remove(0);
    // Costs are minus logarithms of probabilities: each of the others is so much less probable.
    let others: f64 = stories.iter().map(|(other, _)| (best.cost - other.cost).exp()).sum();
    Explanation {
        acts,
        steps: best.steps,
        cost: best.cost,
        began_again: if let Story::BeganAgain(at) = story { Some(at) } else { None },
        broke_off: story == Story::BrokeOff,
        probability: 1.0 / (1.0 + others),
        next_best,
    }
}

impl Step {
    /// The same step where so many acts come before.
    fn later(self, by: usize) -> Self {
        let shift = |r: Range<usize>| r.start + by..r.end + by;
        match self {
            Self::Matched { place, acts } => Self::Matched { place, acts: shift(acts) },
            Self::Unheated { place, count, acts } => Self::Unheated { place, count, acts: shift(acts) },
            Self::Missing { place, before } => Self::Missing { place, before: before + by },
            Self::Extra { act } => Self::Extra { act: act + by },
        }
    }
}
