//! Questions answered: what is exchanged is exchanged, and every question becomes a row.

use super::asked::{Also, Measured, questions, step};
use super::constants::LEVEL;
use super::measures::{Measure, Question};
use super::observed::Observed;
use super::row::{Row, SameWithin};
use super::statistics::{Arrangements, Column, Scale, Unit, false_discoveries, least_p, test};
use super::units::{Exchanged, units};

/// How questions are to be answered.
#[derive(Clone, Copy, Debug)]
pub(super) struct How<'a> {
    /// What is exchanged.
    pub exchanged: Exchanged,
    /// What is asked beside.
    pub also: Also,
    /// Within what the groups are called the same.
    pub within: &'a [SameWithin],
    /// How many arrangements are tried, where there are more.
    pub most: usize,
}

/// What all questions come to.
pub(super) struct Answer {
    /// How many of what is exchanged each group has.
    pub units: [usize; 2],
    /// How many arrangements were tried, and whether these are all.
    pub arrangements: (usize, bool),
    /// The least probability that so few can give.
    pub least_p: f64,
    /// Each question.
    pub rows: Vec<Row>,
}

/// Answers these questions about these cycles.
pub(super) fn answer(kept: &[Observed], (order, cycles): (Vec<Question>, &[Measured]), how: How) -> Answer {
    let (units, of) = units(kept, how.exchanged);
    let asked = questions(order, cycles, kept, how.also);
    let column = |(question, values): &(Question, Vec<Option<f64>>)| Column {
        values: mean_of_units(&of, values, units.len()),
        scale: match question.measure {
            Measure::Comes => Scale::Often,
            measure => Scale::Measured(step(measure, kept)),
        },
    };
    let columns: Vec<Column> = asked.iter().map(column).collect();
    let arrangements = Arrangements::of(&units, how.most);
    let tested = test(&units, &columns, &arrangements, LEVEL.get());
    let q = false_discoveries(&tested.p);
    let least_p = least_p(&units);
    let row = |(index, (question, values)): (usize, (Question, Vec<Option<f64>>))| {
        let by_stratum = by_stratum(&units, &columns[index].values);
        let mut own: [Vec<f64>; 2] = Default::default();
        for (observed, value) in kept.iter().zip(&values) {
            own[usize::from(observed.group)].extend(*value);
        }
        Row::of((question, index), &tested, q[index], by_stratum, own, (how.within, least_p))
    };
    Answer {
        // What only one group has was asked, and has no difference.
        rows: asked
            .into_iter()
            .enumerate()
            .map(row)
            .filter(|r| r.groups.iter().all(|g| g.count > 0))
            .collect(),
        units: [0, 1].map(|g| units.iter().filter(|u| u.group == g).count()),
        arrangements: (arrangements.count(), arrangements.is_all()),
        least_p,
    }
}

/// What is exchanged counts once, with the mean of its cycles.
fn mean_of_units(of: &[usize], values: &[Option<f64>], units: usize) -> Vec<Option<f64>> {
    let mut sums = vec![(0.0, 0.0); units];
    for (&unit, value) in of.iter().zip(values) {
        if let Some(value) = value {
            let (sum, count) = &mut sums[unit];
            *sum += value;
            *count += 1.0;
        }
    }
    sums.into_iter().map(|(sum, count)| (count > 0.0).then(|| sum / count)).collect()
}

fn by_stratum(units: &[Unit], values: &[Option<f64>]) -> Vec<[Vec<f64>; 2]> {
    let strata = units.iter().map(|u| u.stratum + 1).max().unwrap_or(0);
    let mut all: Vec<[Vec<f64>; 2]> = vec![Default::default(); strata];
    for (unit, value) in units.iter().zip(values) {
        all[unit.stratum][usize::from(unit.group)].extend(*value);
    }
    all
}
