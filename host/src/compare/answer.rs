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
    /// Of how many such answers the chance of any false alarm is told: of one, or of all pairs of groups (Bonferroni).
    pub answers: usize,
}

/// What all questions come to.
pub(super) struct Answer {
    /// How many of what is exchanged each group has.
    pub units: Vec<usize>,
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
    let mut tested = test(&units, &columns, &arrangements, LEVEL.get() / how.answers as f64);
    let q = false_discoveries(&tested.p);
    let of_all = |p: f64| (p * how.answers as f64).min(1.0);
    tested.of_any.iter_mut().for_each(|p| *p = of_all(*p));
    let least_p = of_all(least_p(&units));
    let groups = usize::from(units.iter().map(|u| u.group + 1).max().unwrap_or(0));
    let row = |(index, (question, values)): (usize, (Question, Vec<Option<f64>>))| {
        let by_stratum = if groups == 2 { by_stratum(&units, &columns[index].values) } else { Vec::new() };
        let mut own: Vec<Vec<f64>> = vec![Vec::new(); groups];
        for (observed, value) in kept.iter().zip(&values) {
            own[usize::from(observed.group)].extend(*value);
        }
        Row::of((question, index), &tested, q[index], by_stratum, &own, (how.within, least_p))
    };
    Answer {
        // What only one group has was asked, and has no difference.
        rows: asked
            .into_iter()
            .enumerate()
            .map(row)
            .filter(|r| r.groups.iter().filter(|g| g.count > 0).count() > 1)
            .collect(),
        units: (0..groups).map(|g| units.iter().filter(|u| usize::from(u.group) == g).count()).collect(),
        arrangements: (arrangements.count(), arrangements.is_all()),
        least_p,
    }
}

/// What is exchanged counts once, with the mean of its cycles.
pub(super) fn mean_of_units(of: &[usize], values: &[Option<f64>], units: usize) -> Vec<Option<f64>> {
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
