//! Cycles that are far from the others of their group.

use tubtrace_units::Seconds;

use super::asked::{Measured, step};
use super::constants::{LEVEL, OTHERS_FROM};
use super::measures::Question;
use super::observed::Observed;
use super::units::distinct;
use crate::stats::{median, normal_mad, reach};

/// A cycle that is far from the others of its group.
#[derive(Clone, Debug)]
pub struct Odd {
    /// Its group.
    pub group: u8,
    /// Its log, as a number.
    pub log: usize,
    /// When it began in it.
    pub start: Seconds,
    /// In what it is furthest.
    pub question: Question,
    /// What it has there.
    pub value: f64,
    /// The median of its group.
    pub middle: f64,
    /// How far that is, in standard deviations, as the median deviation of the group tells them.
    pub far: f64,
    /// In how many other questions it is far from them.
    pub more: usize,
}

/// The cycles that are so far from the median of their group that, were all values normal, the chance of any such cycle would be five in a hundred;
/// the furthest first. Real values have longer tails, so it says where to look, and not that something is wrong.
pub(super) fn outlying(kept: &[Observed], (order, cycles): (&[Question], &[Measured])) -> Vec<Odd> {
    let groups = distinct(kept.iter().map(|o| o.group));
    let mut all: Vec<(usize, &Question, f64, f64, f64)> = Vec::new();
    for (&group, question) in groups.iter().flat_map(|group| order.iter().map(move |q| (group, q))) {
        let own = kept.iter().zip(cycles).enumerate().filter(|(_, (o, _))| o.group == group);
        let own: Vec<(usize, f64)> =
            own.filter_map(|(at, (_, cycle))| Some((at, cycle.value(question)?))).collect();
        if own.len() < OTHERS_FROM.get() as usize {
            continue;
        }
        let values: Vec<f64> = own.iter().map(|(_, v)| *v).collect();
        let spread = normal_mad(&values).max(step(question.measure, kept));
        let middle = median(&values);
        let far = |value: f64| if spread > 0.0 { (value - middle).abs() / spread } else { 0.0 };
        all.extend(own.into_iter().map(|(at, value)| (at, question, value, middle, far(value))));
    }
    // Either side counts.
    let limit = reach(2 * all.len(), LEVEL.get());
    let mut odd: Vec<(usize, Odd)> = Vec::new();
    all.sort_by(|a, b| b.4.total_cmp(&a.4));
    for (at, question, value, middle, far) in all.into_iter().take_while(|one| one.4 > limit) {
        match odd.iter_mut().find(|(known, _)| *known == at) {
            Some((_, known)) => known.more += 1,
            None => {
                let Observed { group, log, cycle, .. } = kept[at];
                let (start, question) = (cycle.start(), question.clone());
                odd.push((at, Odd { group, log, start, question, value, middle, far, more: 0 }));
            }
        }
    }
    odd.into_iter().map(|(_, odd)| odd).collect()
}

#[cfg(test)]
mod tests {
    use super::super::examples::{cycle, measures};
    use super::*;

    fn found(lasts: &[f64]) -> Vec<Odd> {
        let cycle = cycle();
        let kept: Vec<Observed> =
            (0..lasts.len()).map(|log| Observed { log, ..Observed::plain(&cycle) }).collect();
        let (order, measured) = measures(lasts.iter().copied());
        outlying(&kept, (&order, &measured))
    }

    #[test]
    fn one_long_drain_among_nine_is_named_and_what_varies_is_not() {
        let odd = found(&[60.0, 61.0, 62.0, 60.0, 61.0, 59.0, 61.0, 60.0, 95.0]);
        assert_eq!(odd.len(), 1);
        assert!((odd[0].log, odd[0].value, odd[0].middle, odd[0].more) == (8, 95.0, 61.0, 0), "{odd:?}");
        assert!(found(&[60.0, 61.0, 62.0, 60.0, 61.0, 59.0, 61.0, 60.0, 63.0]).is_empty());
        // Of seven nobody knows what is usual.
        assert!(found(&[60.0, 60.0, 60.0, 60.0, 60.0, 60.0, 95.0]).is_empty());
    }
}
