//! The least improbable explanation, by dynamic programming over the chart's states.

use super::{Act, Alignment, Ends, Place, Step, cost};
use crate::chart::{Chart, Expected};

/// Acts that one interval of a chart may span at most: itself, and what interrupts it.
const LONGEST_SPAN: usize = 24;

/// Intervals of a chart that one stretch of washing without heat may stand for.
const LONGEST_BLEND: usize = 4;

/// What it costs to begin or to end where the programme does not; it breaks ties only.
const OPEN: f64 = 0.01;

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
