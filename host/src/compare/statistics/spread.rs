//! How far the values of each group are from their own middle.

use crate::stats::median;

/// How far each value is from the median of its group. Groups that vary as much are as far on average: the question of Brown and Forsythe,
/// Journal of the American Statistical Association 69 (1974), after Levene. What is none stays none.
#[must_use]
pub fn from_own_median(values: &[Option<f64>], groups: &[usize]) -> Vec<Option<f64>> {
    let count = groups.iter().map(|g| g + 1).max().unwrap_or(0);
    let mut own: Vec<Vec<f64>> = vec![Vec::new(); count];
    values.iter().zip(groups).for_each(|(v, &g)| own[g].extend(*v));
    let middles: Vec<f64> = own.iter().map(|v| if v.is_empty() { 0.0 } else { median(v) }).collect();
    values.iter().zip(groups).map(|(v, &g)| v.map(|v| (v - middles[g]).abs())).collect()
}
