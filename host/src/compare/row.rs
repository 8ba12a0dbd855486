//! What a question comes to in groups.

use super::constants::{LEVEL, POWER};
use super::measures::{Measure, Question};
use super::statistics::{Pairs, Tested, least_shown};
use crate::stats::median;

/// The values of one group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Group {
    /// How many there are.
    pub count: usize,
    /// The middle one; of how often something comes, the part of the cycles; none of none.
    pub middle: Option<f64>,
}

impl Group {
    pub(super) fn of(values: &[f64], measure: Measure) -> Self {
        let mean = || values.iter().sum::<f64>() / values.len() as f64;
        let middle = || if measure == Measure::Comes { mean() } else { median(values) };
        Self { count: values.len(), middle: (!values.is_empty()).then(middle) }
    }
}

/// Within what two groups are called the same.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SameWithin {
    /// So many seconds, of what lasts.
    Seconds(f64),
    /// Such a part of the middle of the first group, of anything that is measured.
    Part(f64),
}

/// What is said of a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// The groups differ.
    Differs,
    /// They differ by less than what was called the same.
    Same,
    /// No difference is shown, and none is excluded.
    NotShown,
    /// No difference could be, however large.
    CannotTell,
}

/// A question, and what it comes to.
#[derive(Clone, Debug)]
pub struct Row {
    /// What was asked.
    pub question: Question,
    /// The first group, the second, and on.
    pub groups: Vec<Group>,
    /// The values of the cycles of each group, in order of size.
    pub values: Vec<Vec<f64>>,
    /// By how much the second lies above the first: the median of all differences of pairs (Hodges and Lehmann). None of more than two groups.
    pub shift: Option<f64>,
    /// Where that lies with a confidence of 95 %, by itself.
    pub interval: Option<(f64, f64)>,
    /// How much more often a value of the second is above one of the first than below (Cliff), from -1 to 1.
    pub delta: Option<f64>,
    /// The probability of as much by chance.
    pub p: f64,
    /// The probability that chance makes as much of any question.
    pub of_any: f64,
    /// The least rate of false discoveries at which it is one.
    pub q: f64,
    /// The smallest difference that would have been found in four of five such comparisons.
    pub least_shown: Option<f64>,
    /// Within what the groups were asked to be the same, and the probability that chance makes them look so (two one-sided tests).
    pub same: Option<(f64, f64)>,
    /// What is said of it.
    pub said: Said,
}

impl Row {
    /// Of the question with this index; `values` are those of the units of each of two groups, by stratum, `cycles` those of the cycles of each
    /// group. Of more than two groups nothing is said but whether any differs: `values` has nothing.
    pub(super) fn of(
        (question, index): (Question, usize),
        tested: &Tested,
        q: f64,
        values: Vec<[Vec<f64>; 2]>,
        cycles: &[Vec<f64>],
        (within, least_p): (&[SameWithin], f64),
    ) -> Self {
        let measure = question.measure;
        let groups: Vec<Group> = cycles.iter().map(|own| Group::of(own, measure)).collect();
        let (often, two) = (measure == Measure::Comes, groups.len() == 2);
        let pairs = Pairs::of(values);
        let difference = || groups[0].middle.zip(groups[1].middle).filter(|_| two).map(|(a, b)| b - a);
        let shift = if often { difference() } else { pairs.shift() };
        let margin = within.iter().find_map(|w| match w {
            SameWithin::Seconds(s) => matches!(measure, Measure::Lasts | Measure::Fills).then_some(*s),
            SameWithin::Part(part) if !often => groups[0].middle.map(|m| part * m.abs()),
            SameWithin::Part(_) => None,
        });
        // Two one-sided tests, of which both must hold (Schuirmann, Journal of Pharmacokinetics and Biopharmaceutics 15, 1987), each by rank sum.
        let same =
            margin.filter(|_| pairs.count() > 0).map(|m| (m, pairs.not_less(m).max(pairs.not_greater(-m))));
        let of_any = tested.of_any[index];
        let said = match same {
            _ if of_any <= LEVEL.get() => Said::Differs,
            Some((_, p)) if p <= LEVEL.get() => Said::Same,
            _ if least_p > LEVEL.get() => Said::CannotTell,
            _ => Said::NotShown,
        };
        let mut values = cycles.to_vec();
        values.iter_mut().for_each(|own| own.sort_by(f64::total_cmp));
        Self {
            groups,
            values,
            shift,
            interval: if often { None } else { pairs.interval(1.0 - LEVEL.get()) },
            delta: pairs.delta(),
            p: tested.p[index],
            of_any,
            q,
            least_shown: least_shown(tested, index, POWER.get()).filter(|_| two && least_p <= LEVEL.get()),
            same,
            said,
            question,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is said of lengths in two groups of which chance makes as much of any question so often.
    fn said(of_any: f64, values: [&[f64]; 2], within: &[SameWithin], least_p: f64) -> Row {
        let tested = Tested {
            score: vec![1.0],
            p: vec![of_any],
            of_any: vec![of_any],
            critical: 2.0,
            variance: vec![1.0],
            information: vec![5.0],
            freedom: vec![18.0],
        };
        let question = Question { programme: 0, interval: None, measure: Measure::Lasts };
        let own = values.map(<[f64]>::to_vec);
        Row::of((question, 0), &tested, of_any, vec![own.clone()], &own, (within, least_p))
    }

    const A: [f64; 8] = [60.0, 61.0, 62.0, 63.0, 64.0, 65.0, 66.0, 67.0];
    const B: [f64; 8] = [60.5, 61.5, 62.5, 63.5, 64.5, 65.5, 66.5, 67.5];

    #[test]
    fn what_differs_is_alike_is_not_shown_and_cannot_be_told() {
        assert_eq!(said(0.05, [&A, &B], &[], 0.001).said, Said::Differs);
        assert_eq!(said(0.06, [&A, &B], &[], 0.001).said, Said::NotShown);
        let few = said(0.1, [&A[..3], &B[..3]], &[], 0.1);
        assert!(few.said == Said::CannotTell && few.least_shown.is_none() && few.interval.is_none());
        assert_eq!(said(0.5, [&A, &B], &[SameWithin::Seconds(10.0)], 0.001).said, Said::Same);
        assert_eq!(said(0.5, [&A, &B], &[SameWithin::Seconds(1.0)], 0.001).said, Said::NotShown);
        // 20 % of the first group's middle, 63.5 s, are 12.7 s.
        let part = said(0.5, [&A, &B], &[SameWithin::Part(0.2)], 0.001);
        assert!(part.said == Said::Same && (part.same.unwrap().0 - 12.7).abs() < 1e-9);
    }

    #[test]
    fn the_middle_is_the_median_and_of_how_often_the_part() {
        assert_eq!(Group::of(&[4.0, 1.0, 3.0, 9.0], Measure::Lasts), Group { count: 4, middle: Some(3.5) });
        assert_eq!(Group::of(&[1.0, 1.0, 1.0, 0.0], Measure::Comes).middle, Some(0.75));
        assert_eq!(Group::of(&[], Measure::Lasts), Group { count: 0, middle: None });
    }
}
