//! Cycles side by side: one column for each interval that any of them has.

use super::constants::{ALIKE, SPREAD_IN_LINE, UNLIKE_AT_MOST, UNMATCHED, UNMATCHED_DRY, UNMATCHED_PAUSE};
use super::cores::Core;
use super::global::Costs;
use crate::intervals::Kind;

/// One interval in every cycle that has it.
#[derive(Clone, Debug)]
pub(super) struct Column {
    /// Of each cycle, in the order of adding.
    pub cores: Vec<Option<Core>>,
}

impl Column {
    pub fn kind(&self) -> Kind {
        self.cores.iter().flatten().next().map_or(Kind::Pause, |c| c.kind)
    }

    /// The part of the cycles that have it.
    fn frequency(&self) -> f64 {
        self.cores.iter().flatten().count() as f64 / self.cores.len().max(1) as f64
    }

    /// Which cycles have it.
    pub fn presence(&self) -> Vec<bool> {
        self.cores.iter().map(Option::is_some).collect()
    }
}

/// The columns so far.
#[derive(Clone, Debug)]
pub(super) struct Profile {
    pub columns: Vec<Column>,
    cycles: usize,
}

/// How a sequence lies in a profile.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    /// For each core of the sequence, its column.
    columns: Vec<Option<usize>>,
    /// Part of both that found no counterpart, by weight.
    pub unmatched: f64,
}

impl Profile {
    pub fn new(sequence: Vec<Core>) -> Self {
        Self { columns: sequence.into_iter().map(|c| Column { cores: vec![Some(c)] }).collect(), cycles: 1 }
    }

    /// The best global alignment of `sequence` with the columns: at the mean cost of its alignments with each of the cycles (the sum of
    /// pairs of Carrillo and Lipman, SIAM Journal on Applied Mathematics 48, 1988). So what all cycles have is not given up for
    /// what one has.
    pub fn fit(&self, sequence: &[Core]) -> Fit {
        let skip_row = |r: usize| self.columns[r].frequency() * weight(self.columns[r].kind());
        let skip_column = |c: usize| weight(sequence[c].kind);
        let pair = |r: usize, c: usize| {
            let (column, core) = (&self.columns[r], &sequence[c]);
            let frequency = column.frequency();
            likeness(column, core)
                .map_or(f64::INFINITY, |l| frequency * l + (1.0 - frequency) * weight(core.kind))
        };
        let costs = Costs {
            rows: self.columns.len(),
            columns: sequence.len(),
            skip_row: &skip_row,
            skip_column: &skip_column,
            pair: &pair,
        };
        let columns = costs.align().rows;
        let paired = |r: usize| columns.contains(&Some(r));
        let skipped: f64 = (0..costs.rows).filter(|r| !paired(*r)).map(skip_row).sum::<f64>()
            + (0..costs.columns).filter(|c| columns[*c].is_none()).map(skip_column).sum::<f64>();
        let all: f64 = (0..costs.rows).map(skip_row).chain((0..costs.columns).map(skip_column)).sum();
        Fit { columns, unmatched: skipped / all.max(1.0) }
    }

    /// Adds a sequence as it lies; what has no column gets one.
    pub fn add(&mut self, sequence: Vec<Core>, fit: &Fit) {
        let mut columns: Vec<Column> = Vec::with_capacity(self.columns.len() + sequence.len());
        let mut old = std::mem::take(&mut self.columns).into_iter().enumerate().peekable();
        for (core, at) in sequence.into_iter().zip(&fit.columns) {
            match at {
                Some(at) => {
                    for (i, mut column) in old.by_ref() {
                        let here = i == *at;
                        column.cores.push(here.then(|| core.clone()));
                        columns.push(column);
                        if here {
                            break;
                        }
                    }
                }
                None => {
                    let mut cores = vec![None; self.cycles];
                    cores.push(Some(core));
                    columns.push(Column { cores });
                }
            }
        }
        columns.extend(old.map(|(_, mut column)| {
            column.cores.push(None);
            column
        }));
        self.columns = columns;
        self.cycles += 1;
    }
}

impl Profile {
    /// A rinse that only some cycles have may be read from fill to drain, or from the drain before to the wash: the same
    /// columns, turned. Turns each such run so that it begins with its fill.
    pub fn turn_to_fills(&mut self) {
        let mut start = 0;
        while start < self.columns.len() {
            let presence = self.columns[start].presence();
            let run = self.columns[start..].iter().take_while(|c| c.presence() == presence).count();
            if presence.iter().any(|&p| !p) {
                self.turn(start, run);
            }
            start += run;
        }
    }

    fn turn(&mut self, start: usize, run: usize) {
        let kinds: Vec<Kind> = self.columns.iter().map(Column::kind).collect();
        let fill = kinds[start..start + run].iter().position(|&k| k == Kind::Fill);
        let Some(fill) = fill.filter(|&f| f > 0) else { return };
        // To the left by as many as follow the fill, or to the right by as many as stand before it.
        let (left, right) = (run - fill, fill);
        let alike = |a: usize, b: usize, n: usize| n > 0 && kinds.get(a..a + n) == kinds.get(b..b + n);
        if start >= left && alike(start - left, start + fill, left) {
            (0..left).for_each(|i| self.hand_over(start - left + i, start + fill + i));
        } else if alike(start + run, start, right) {
            (0..right).for_each(|i| self.hand_over(start + run + i, start + i));
        }
    }

    /// What cycles without the column `to` have in `from` moves there.
    fn hand_over(&mut self, from: usize, to: usize) {
        for cycle in 0..self.cycles {
            if self.columns[to].cores[cycle].is_none() {
                self.columns[to].cores[cycle] = self.columns[from].cores[cycle].take();
            }
        }
    }
}

/// What it costs to have no counterpart.
fn weight(kind: Kind) -> f64 {
    match kind {
        Kind::Pause => UNMATCHED_PAUSE.get(),
        Kind::Dry => UNMATCHED_DRY.get(),
        _ => UNMATCHED.get(),
    }
}

/// What it costs that a core is of a column; `None` where it cannot be.
fn likeness(column: &Column, core: &Core) -> Option<f64> {
    if column.kind() != core.kind {
        return None;
    }
    let cores = spread(column.cores.len(), 2 * ENOUGH).filter_map(|i| column.cores[i].as_ref());
    let deviations = cores.map(|c| (c.duration / core.duration).ln() / SPREAD_IN_LINE.get());
    let ratios = deviations.map(|d| d.powi(2).min(UNLIKE_AT_MOST.get()));
    let (sum, count) = ratios.fold((0.0, 0), |(s, n), r| (s + r, n + 1));
    // Alike is alike: seconds must not tempt one rinse to share its parts with another.
    Some((sum / f64::from(count.max(1)) - ALIKE.get()).max(0.0))
}

/// So many examples show what all do.
pub(crate) const ENOUGH: usize = 24;

/// At most so many of `count`, evenly spread: all of them where they are no more.
pub(crate) fn spread(count: usize, most: usize) -> impl Iterator<Item = usize> {
    let taken = count.min(most);
    (0..taken).map(move |i| i * count / taken)
}

/// The sequence that is most like all others.
pub(super) fn medoid(examples: &[&[Core]]) -> Option<usize> {
    // Of very many, some that are spread over all: the work grows with their square.
    let some: Vec<usize> = spread(examples.len(), ENOUGH).collect();
    let far = |i: usize| -> f64 {
        let profile = Profile::new(examples[i].to_vec());
        some.iter().map(|&other| profile.fit(examples[other]).unmatched).sum()
    };
    let fars: Vec<(usize, f64)> = some.iter().map(|&i| (i, far(i))).collect();
    fars.into_iter().min_by(|a, b| a.1.total_cmp(&b.1)).map(|(i, _)| i)
}
