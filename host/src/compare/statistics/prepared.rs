//! What is asked of many units, made ready for arrangements to be tried: values about the mean of their stratum.

use super::super::constants::HELD_WITHIN;
use super::arrangements::Unit;
use crate::stats::{median, normal_mad};

/// What kind of values a question has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// Measured to within this step, in the unit of the values.
    Measured(f64),
    /// Parts from 0 to 1 of how often something came.
    Often,
}

/// One question: a value for each unit, or none.
#[derive(Clone, Debug)]
pub struct Column {
    /// Of each unit, in their order.
    pub values: Vec<Option<f64>>,
    /// What kind of values they are.
    pub scale: Scale,
}

/// Columns side by side, unit by unit.
pub(super) struct Prepared {
    /// How many columns.
    pub width: usize,
    /// Of each unit, a value of each column about the mean of its stratum; 0 where it has none.
    pub values: Vec<f64>,
    /// Of each column the sum of squares of those, with what the step of its readings adds (Sheppard: a twelfth of its square for each).
    pub squares: Vec<f64>,
    /// Of each column, how many units have a value, in each stratum.
    pub present: Vec<Vec<usize>>,
    /// Which columns not all units have.
    pub partial: Vec<usize>,
    /// Of each unit, 1 for each of those columns of which it has a value.
    pub has: Vec<f64>,
}

impl Prepared {
    pub fn of(units: &[Unit], columns: &[Column], by_rank: bool) -> Self {
        let strata = units.iter().map(|u| u.stratum + 1).max().unwrap_or(0);
        let width = columns.len();
        let mut all = Self {
            width,
            values: vec![0.0; units.len() * width],
            squares: Vec::new(),
            present: Vec::new(),
            partial: (0..width).filter(|&c| columns[c].values.iter().any(Option::is_none)).collect(),
            has: Vec::new(),
        };
        for (at, column) in columns.iter().enumerate() {
            let mut own: Vec<Vec<(usize, f64)>> = vec![Vec::new(); strata];
            for (unit, value) in column.values.iter().enumerate() {
                own[units[unit].stratum].extend(value.map(|v| (unit, v)));
            }
            all.present.push(own.iter().map(Vec::len).collect());
            let count: usize = own.iter().map(Vec::len).sum();
            let step = match (column.scale, by_rank) {
                (Scale::Measured(step), false) => {
                    hold_within(&mut own, step);
                    step
                }
                _ => 0.0,
            };
            if by_rank {
                own.iter_mut().for_each(|stratum| rank(stratum));
            }
            let mut squares = count as f64 * step * step / 12.0;
            for stratum in &own {
                let mean = stratum.iter().map(|(_, v)| v).sum::<f64>() / stratum.len().max(1) as f64;
                for (unit, value) in stratum {
                    all.values[unit * width + at] = value - mean;
                    squares += (value - mean).powi(2);
                }
            }
            all.squares.push(squares);
        }
        let has = |unit: usize, c: usize| f64::from(u8::from(columns[c].values[unit].is_some()));
        let partial = &all.partial;
        all.has = (0..units.len()).flat_map(|unit| partial.iter().map(move |&c| has(unit, c))).collect();
        all
    }
}

/// Brings what is far from the median of its stratum nearer, whatever group it is of (winsorizing: Dixon and Tukey, Technometrics 10,
/// 1968), so that one odd cycle does not hide what all others show.
fn hold_within(strata: &mut [Vec<(usize, f64)>], step: f64) {
    let middle = |s: &[(usize, f64)]| median(&s.iter().map(|(_, v)| *v).collect::<Vec<_>>());
    let middles: Vec<f64> = strata.iter().map(|s| if s.is_empty() { 0.0 } else { middle(s) }).collect();
    let off: Vec<f64> =
        strata.iter().zip(&middles).flat_map(|(s, m)| s.iter().map(move |(_, v)| v - m)).collect();
    if off.is_empty() {
        return;
    }
    let most = HELD_WITHIN.get() * normal_mad(&off).max(step);
    if most > 0.0 {
        for (stratum, middle) in strata.iter_mut().zip(middles) {
            stratum.iter_mut().for_each(|(_, v)| *v = v.clamp(middle - most, middle + most));
        }
    }
}

/// Puts ranks in the place of values, from 1 on; equal ones have the mean of theirs.
fn rank(values: &mut [(usize, f64)]) {
    values.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut before = 0;
    for equal in values.chunk_by_mut(|a, b| a.1 == b.1) {
        let rank = before as f64 + (equal.len() + 1) as f64 / 2.0;
        before += equal.len();
        equal.iter_mut().for_each(|v| v.1 = rank);
    }
}
