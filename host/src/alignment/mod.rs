//! The alignment: which observed interval is which of the chart's, found as the least improbable explanation.
//!
//! Dynamic programming over the chart's states. What the chart says may be left out, or come again, costs next to nothing;
//! what it does not say costs as much as it is improbable. Clock time is never compared.

mod acts;
mod constants;
mod cost;
mod table;
mod weigh;

use std::ops::Range;

pub(crate) use acts::lasted;
pub use acts::{Act, acts};
pub(crate) use constants::{ALL as CONSTANTS, BLINK};
use constants::{BEGIN_AGAIN, BREAK, BREAK_OFF, BREAK_OFF_AT_END, MOST_BREAKS};
pub(crate) use cost::unseen;
pub use table::{align, alignments};
use weigh::weigh;

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
    /// What it has the cycle be.
    pub story: Story,
    /// Its probability beside the others that were weighed: the other stories, and the next best alignments of this one.
    pub probability: f64,
    /// The next best that says something else, if there is any.
    pub next_best: Option<Rival>,
}

/// An explanation that was not chosen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rival {
    /// What it has the cycle be.
    pub story: Story,
    /// The act from which on it says something else than the one that was chosen.
    pub from: usize,
    /// Its probability beside the others.
    pub probability: f64,
}

/// What an explanation has a cycle be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Story {
    /// The programme once, from its start to its end.
    Whole,
    /// It broke off at this act, a pause or a gap, and began again after it.
    BeganAgain(usize),
    /// It broke off after the last act, and did not go on.
    BrokeOff,
}

impl Explanation {
    /// The act, a pause or a gap, at which the programme broke off to begin again.
    #[must_use]
    pub const fn began_again(&self) -> Option<usize> {
        if let Story::BeganAgain(at) = self.story { Some(at) } else { None }
    }
}

/// Alignments of the best story that are weighed against each other.
const WEIGHED: usize = 6;

/// Explains a cycle by a chart, if need be as one that broke off and began again.
#[must_use]
pub fn explain(chart: &Chart, cycle: &Cycle) -> Explanation {
    let acts = acts(&cycle.intervals);
    let mut told: Vec<(Alignment, Story)> = stories(&acts, Ends::of(cycle))
        .into_iter()
        .filter_map(|story| Some((tell::<1>(chart, &acts, Ends::of(cycle), story).pop()?, story)))
        .collect();
    told.sort_by(|a, b| a.0.cost.total_cmp(&b.0.cost));
    let story = told.first().map_or(Story::Whole, |t| t.1);
    // Of the best story also what is next best; of the others their best is enough.
    told.retain(|t| t.1 != story);
    let alike = tell::<WEIGHED>(chart, &acts, Ends::of(cycle), story);
    told.extend(alike.into_iter().map(|alignment| (alignment, story)));
    told.sort_by(|a, b| a.0.cost.total_cmp(&b.0.cost));
    weigh(chart, acts, told)
}

/// What the cycle may be.
fn stories(acts: &[Act], ends: Ends) -> Vec<Story> {
    let breaks = |a: &Act| matches!(a.kind, Kind::Pause | Kind::Gap) && a.duration() >= BREAK.get();
    let mut breaks: Vec<usize> = (0..acts.len()).filter(|&at| breaks(&acts[at])).collect();
    breaks.sort_by(|&a, &b| acts[b].duration().total_cmp(&acts[a].duration()));
    breaks.truncate(MOST_BREAKS.get());
    breaks.sort_unstable();
    let again = breaks.into_iter().map(Story::BeganAgain);
    // Where the log ends before the programme does, nobody can say that it broke off.
    let off = (!ends.open_end).then_some(Story::BrokeOff);
    std::iter::once(Story::Whole).chain(again).chain(off).collect()
}

/// The `K` best alignments that tell a story, or fewer.
fn tell<const K: usize>(chart: &Chart, acts: &[Act], ends: Ends, story: Story) -> Vec<Alignment> {
    match story {
        Story::Whole => alignments::<K>(chart, acts, ends),
        Story::BrokeOff => {
            let open = alignments::<K>(chart, acts, Ends { open_end: true, ..ends });
            // What breaks off does so in the middle of something: a cycle that drains or dries last has ended.
            let ends = acts.last().is_some_and(|a| matches!(a.kind, Kind::Drain | Kind::Dry));
            let cost = BREAK_OFF.get() + if ends { BREAK_OFF_AT_END.get() } else { 0.0 };
            open.into_iter().map(|a| Alignment { cost: a.cost + cost, ..a }).collect()
        }
        Story::BeganAgain(at) => {
            let before = alignments::<K>(chart, &acts[..at], Ends { open_end: true, ..ends });
            let after = alignments::<K>(chart, &acts[at + 1..], Ends { open_start: false, ..ends });
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
