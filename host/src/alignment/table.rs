//! The least improbable explanations, by dynamic programming over the chart's states.

use super::constants::{LEFT_OUT, LONGEST_BLEND, LONGEST_SPAN, MISSING_PART, OPEN};
use super::cost;
use super::ends::Ends;
use super::explanation::{Alignment, Place, Step};
use super::phases::Phase;
use crate::chart::{Chart, Expected};

/// Aligns phases with a chart.
#[must_use]
pub fn align(chart: &Chart, phases: &[Phase], ends: Ends) -> Alignment {
    let mut best = alignments::<1>(chart, phases, ends);
    // There is always one: everything missing, every phase extra.
    best.pop().unwrap_or(Alignment { steps: Vec::new(), cost: f64::INFINITY })
}

/// The `K` best alignments of phases with a chart, the best first: fewer, if there are no more.
#[must_use]
pub fn alignments<const K: usize>(chart: &Chart, phases: &[Phase], ends: Ends) -> Vec<Alignment> {
    Table::<K>::fill(chart, phases, ends).trace(ends)
}

/// A place of the chart and, where a copy of a part may be left out, the slot after it.
struct Slot {
    place: Place,
    leave_out: Option<usize>,
    /// At the first interval of a copy that must come: the slot after the copy.
    miss_part: Option<usize>,
}

fn slots(chart: &Chart) -> Vec<Slot> {
    let mut slots = Vec::new();
    for (p, part) in chart.parts.iter().enumerate() {
        for copy in 0..part.times.high {
            let after = slots.len() + part.intervals.len();
            for interval in 0..part.intervals.len() {
                let may = copy >= part.times.low;
                let leave_out = (interval == 0 && may).then_some(after);
                let miss_part = (interval == 0 && !may).then_some(after);
                slots.push(Slot { place: Place { part: p, copy, interval }, leave_out, miss_part });
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
    MissPart(usize),
    Extra,
}

/// A way to a cell: what it costs, its last move, and which of the ways to the cell before it goes on.
#[derive(Clone, Copy)]
struct Way {
    cost: f64,
    from: Move,
    rank: usize,
}

const NO_WAY: Way = Way { cost: f64::INFINITY, from: Move::Begin, rank: 0 };

/// `cells[slot][phase]`: the `K` least costly ways to explain the phases before `phase` by the slots before `slot`.
struct Table<'a, const K: usize> {
    slots: Vec<Slot>,
    phases: &'a [Phase],
    ends: Ends,
    cells: Vec<Vec<[Way; K]>>,
}

impl<'a, const K: usize> Table<'a, K> {
    fn fill(chart: &Chart, phases: &'a [Phase], ends: Ends) -> Self {
        let slots = slots(chart);
        let cells = vec![vec![[NO_WAY; K]; phases.len() + 1]; slots.len() + 1];
        let mut table = Self { slots, phases, ends, cells };
        for slot in 0..=table.slots.len() {
            if slot == 0 || ends.open_start {
                let cost = if slot == 0 { 0.0 } else { OPEN.get() };
                table.offer(slot, 0, Way { cost, ..NO_WAY });
            }
            for phase in 0..=phases.len() {
                table.step(chart, slot, phase);
            }
        }
        table
    }

    fn offer(&mut self, slot: usize, phase: usize, way: Way) {
        let cell = &mut self.cells[slot][phase];
        let place = cell.partition_point(|w| w.cost <= way.cost);
        if place < K {
            cell[place..].rotate_right(1);
            cell[place] = way;
        }
    }

    /// Goes on to a cell from each of these ways.
    fn go_on(&mut self, ways: &[Way; K], slot: usize, phase: usize, cost: f64, from: Move) {
        for (rank, way) in ways.iter().enumerate().filter(|(_, w)| w.cost < f64::INFINITY) {
            self.offer(slot, phase, Way { cost: way.cost + cost, from, rank });
        }
    }

    /// Every way on from a cell.
    fn step(&mut self, chart: &Chart, slot: usize, phase: usize) {
        let ways = self.cells[slot][phase];
        if ways[0].cost == f64::INFINITY {
            return;
        }
        if let Some(extra) = self.phases.get(phase) {
            self.go_on(&ways, slot, phase + 1, cost::extra(extra), Move::Extra);
        }
        let Some(Slot { place, leave_out, miss_part }) = self.slots.get(slot) else { return };
        let (leave_out, miss_part) = (*leave_out, *miss_part);
        let expected = &chart.parts[place.part].intervals[place.interval];
        if let Some(after) = miss_part {
            self.go_on(&ways, after, phase, MISSING_PART.get(), Move::MissPart(slot));
        }
        if let Some(after) = leave_out {
            self.go_on(&ways, after, phase, LEFT_OUT.get(), Move::LeaveOut(slot));
        }
        let missing = if expected.may { LEFT_OUT.get() } else { cost::missing(expected, self.phases, phase) };
        self.go_on(&ways, slot + 1, phase, missing, Move::Miss);
        for end in phase + 1..=(phase + LONGEST_SPAN.get()).min(self.phases.len()) {
            let cut = (self.ends.cut_start && phase == 0) || (self.ends.cut_end && end == self.phases.len());
            if let Some(span) = cost::matched(expected, &self.phases[phase..end], cut) {
                self.go_on(&ways, slot + 1, end, span, Move::Match(phase));
            }
            for count in 2..=LONGEST_BLEND.get() {
                let Some(blend) = self.blend(chart, slot, count) else { break };
                if let Some(span) = cost::unheated(&blend, &self.phases[phase..end]) {
                    self.go_on(&ways, slot + count, end, span, Move::Unheated(phase, count));
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

    /// The best alignments, the best first.
    fn trace(&self, ends: Ends) -> Vec<Alignment> {
        let last = self.phases.len();
        let open = |slot: usize| if slot == self.slots.len() { 0.0 } else { OPEN.get() };
        let may_end = |slot: &usize| *slot == self.slots.len() || ends.open_end;
        let mut whole: Vec<(f64, usize, usize)> = (0..=self.slots.len())
            .filter(may_end)
            .flat_map(|slot| (0..K).map(move |rank| (slot, rank)))
            .map(|(slot, rank)| (self.cells[slot][last][rank].cost + open(slot), slot, rank))
            .filter(|(cost, ..)| *cost < f64::INFINITY)
            .collect();
        // Stable: of equals the one that ends earlier in the chart.
        whole.sort_by(|a, b| a.0.total_cmp(&b.0));
        let alignment = |(cost, slot, rank)| Alignment { steps: self.steps(slot, rank), cost };
        whole.into_iter().take(K).map(alignment).collect()
    }

    /// The steps of the way of this rank to the end of the phases at `slot`.
    fn steps(&self, mut slot: usize, mut rank: usize) -> Vec<Step> {
        let mut phase = self.phases.len();
        let mut steps = Vec::new();
        loop {
            let way = self.cells[slot][phase][rank];
            rank = way.rank;
            match way.from {
                Move::Begin => break,
                Move::Extra => {
                    phase -= 1;
                    steps.push(Step::Extra { phase });
                }
                Move::LeaveOut(from) => slot = from,
                Move::MissPart(from) => {
                    let missing = self.slots[from..slot].iter().rev();
                    steps.extend(missing.map(|s| Step::Missing { place: s.place, before: phase }));
                    slot = from;
                }
                Move::Miss => {
                    slot -= 1;
                    steps.push(Step::Missing { place: self.slots[slot].place, before: phase });
                }
                Move::Unheated(from, count) => {
                    slot -= count;
                    steps.push(Step::Unheated { place: self.slots[slot].place, count, phases: from..phase });
                    phase = from;
                }
                Move::Match(from) => {
                    slot -= 1;
                    steps.push(Step::Matched { place: self.slots[slot].place, phases: from..phase });
                    phase = from;
                }
            }
        }
        steps.reverse();
        steps
    }
}
