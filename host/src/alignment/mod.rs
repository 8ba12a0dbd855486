//! The alignment: which observed interval is which of the chart's, found as the least improbable explanation.
//!
//! Dynamic programming over the chart's states. What the chart says may be left out, or come again, costs next to nothing;
//! what it does not say costs as much as it is improbable. Clock time is never compared.

mod acts;
mod cost;

use std::ops::Range;

pub use acts::{Act, acts};
pub(crate) use cost::unseen;
use tubtrace_units::Seconds;

use crate::chart::{Chart, Expected};
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

/// Acts that one interval of a chart may span at most: itself, and what interrupts it.
const LONGEST_SPAN: usize = 24;

/// Intervals of a chart that one stretch of washing without heat may stand for.
const LONGEST_BLEND: usize = 4;

/// What it costs to begin or to end where the programme does not; it breaks ties only.
const OPEN: f64 = 0.01;

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
}

/// What it costs that a programme breaks off and begins again.
const BEGIN_AGAIN: f64 = 8.0;

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
        (Alignment { steps, cost }, Some(at))
    });
    let all = std::iter::once((whole, None)).chain(again);
    // There is always the whole.
    let best = all.min_by(|a, b| a.0.cost.total_cmp(&b.0.cost));
    let (alignment, began_again) = best.unwrap_or((Alignment { steps: Vec::new(), cost: 0.0 }, None));
    Explanation { acts, steps: alignment.steps, cost: alignment.cost, began_again }
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

/// Aligns acts with a chart.
#[must_use]
pub fn align(chart: &Chart, acts: &[Act], ends: Ends) -> Alignment {
    Table::fill(chart, acts, ends).trace(ends)
}

/// A place of the chart and, where a copy of a part may be left out, the slot after it.
struct Slot {
    place: Place,
    leave_out: Option<usize>,
}

fn slots(chart: &Chart) -> Vec<Slot> {
    let mut slots = Vec::new();
    for (p, part) in chart.parts.iter().enumerate() {
        for copy in 0..part.times.high {
            let after = slots.len() + part.intervals.len();
            for interval in 0..part.intervals.len() {
                let leave_out = (interval == 0 && copy >= part.times.low).then_some(after);
                slots.push(Slot { place: Place { part: p, copy, interval }, leave_out });
            }
        }
    }
    slots
}

#[derive(Clone, Copy)]
enum Move {
    Begin,
    Match(usize),
    Unheated(usize, usize),
    Miss,
    LeaveOut(usize),
    Extra,
}

/// `cells[slot][act]`: the least cost of explaining the acts before `act` by the slots before `slot`.
struct Table<'a> {
    slots: Vec<Slot>,
    acts: &'a [Act],
    cells: Vec<Vec<(f64, Move)>>,
}

impl<'a> Table<'a> {
    fn fill(chart: &Chart, acts: &'a [Act], ends: Ends) -> Self {
        let slots = slots(chart);
        let cells = vec![vec![(f64::INFINITY, Move::Begin); acts.len() + 1]; slots.len() + 1];
        let mut table = Self { slots, acts, cells };
        for slot in 0..=table.slots.len() {
            if slot == 0 || ends.open_start {
                table.offer(slot, 0, if slot == 0 { 0.0 } else { OPEN }, Move::Begin);
            }
            for act in 0..=acts.len() {
                table.step(chart, slot, act);
            }
        }
        table
    }

    fn offer(&mut self, slot: usize, act: usize, cost: f64, from: Move) {
        let cell = &mut self.cells[slot][act];
        if cost < cell.0 {
            *cell = (cost, from);
        }
    }

    /// Every way on from a cell.
    fn step(&mut self, chart: &Chart, slot: usize, act: usize) {
        let cost = self.cells[slot][act].0;
        if cost == f64::INFINITY {
            return;
        }
        if let Some(extra) = self.acts.get(act) {
            self.offer(slot, act + 1, cost + cost::extra(extra), Move::Extra);
        }
        let Some(Slot { place, leave_out }) = self.slots.get(slot) else { return };
        let expected = &chart.parts[place.part].intervals[place.interval];
        if let Some(after) = *leave_out {
            self.offer(after, act, cost + cost::LEFT_OUT, Move::LeaveOut(slot));
        }
        let missing = if expected.may { cost::LEFT_OUT } else { cost::missing(expected, self.acts, act) };
        self.offer(slot + 1, act, cost + missing, Move::Miss);
        for end in act + 1..=(act + LONGEST_SPAN).min(self.acts.len()) {
            if let Some(span) = cost::matched(expected, &self.acts[act..end]) {
                self.offer(slot + 1, end, cost + span, Move::Match(act));
            }
            for count in 2..=LONGEST_BLEND {
                let Some(blend) = self.blend(chart, slot, count) else { break };
                if let Some(span) = cost::unheated(&blend, &self.acts[act..end]) {
                    self.offer(slot + count, end, cost + span, Move::Unheated(act, count));
                }
            }
        }
    }

    /// `count` intervals from `slot` on, if they are of one copy of a part.
    fn blend<'c>(&self, chart: &'c Chart, slot: usize, count: usize) -> Option<Vec<&'c Expected>> {
        let slots = self.slots.get(slot..slot + count)?;
        let Place { part, copy, .. } = slots[0].place;
        let together = slots.iter().all(|s| s.place.part == part && s.place.copy == copy);
        together.then(|| slots.iter().map(|s| &chart.parts[part].intervals[s.place.interval]).collect())
    }

    fn trace(&self, ends: Ends) -> Alignment {
        let last = self.acts.len();
        let end = |slot: usize| {
            self.cells[slot][last].0
                + if slot == self.slots.len() {
                    0.0
                } else if ends.open_end {
                    OPEN
                } else {
                    f64::INFINITY
                }
        };
        let mut slot = (0..=self.slots.len()).min_by(|&a, &b| end(a).total_cmp(&end(b))).unwrap_or(0);
        let cost = end(slot);
        let mut act = last;
        let mut steps = Vec::new();
        loop {
            match self.cells[slot][act].1 {
                Move::Begin => break,
                Move::Extra => {
                    act -= 1;
                    steps.push(Step::Extra { act });
                }
                Move::LeaveOut(from) => slot = from,
                Move::Miss => {
                    slot -= 1;
                    steps.push(Step::Missing { place: self.slots[slot].place, before: act });
                }
                Move::Unheated(from, count) => {
                    slot -= count;
                    steps.push(Step::Unheated { place: self.slots[slot].place, count, acts: from..act });
                    act = from;
                }
                Move::Match(from) => {
                    slot -= 1;
                    steps.push(Step::Matched { place: self.slots[slot].place, acts: from..act });
                    act = from;
                }
            }
        }
        steps.reverse();
        Alignment { steps, cost }
    }
}
