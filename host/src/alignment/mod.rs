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
        (Alignment { steps, cost }, Some(at), false)
    });
    let open = align(chart, &acts, Ends { open_end: true, ..ends });
    let cost = open.cost + if ends.open_end { 0.0 } else { BREAK_OFF };
    let off = (Alignment { cost, ..open }, None, !ends.open_end);
    let all = std::iter::once((whole, None, false)).chain(again).chain([off]);
    // There is always the whole.
    let best = all.min_by(|a, b| a.0.cost.total_cmp(&b.0.cost));
    let (alignment, began_again, broke_off) =
        best.unwrap_or((Alignment { steps: Vec::new(), cost: 0.0 }, None, false));
    Explanation { acts, steps: alignment.steps, cost: alignment.cost, began_again, broke_off }
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
