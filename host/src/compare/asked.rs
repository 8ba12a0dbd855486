//! What is asked of groups: the questions, and the value of each cycle.

use std::collections::BTreeMap;

use tubtrace_units::Seconds;

use super::constants::VARIES_FROM;
use super::measures::{Measure, Question, measured};
use super::observed::Observed;
use super::statistics::from_own_median;
use crate::findings::Placed;

/// Of fewer values nothing is asked: two and two are the least of which each group has a spread.
const ASKED_FROM: usize = 4;

/// What is asked of what is measured, beside where it lies.
#[derive(Clone, Copy, Debug)]
pub(super) struct Also {
    /// How often what does not always come comes.
    pub comes: bool,
    /// How much durations vary.
    pub varies: bool,
}

/// What of a cycle is compared.
#[derive(Clone)]
pub(super) struct Measured {
    /// Its programme, as a number.
    pub programme: usize,
    values: BTreeMap<(Option<String>, Measure), f64>,
}

impl Measured {
    /// Of the first programme, with nothing but how long one interval lasts.
    #[cfg(test)]
    pub fn of_one(interval: &str, lasts: f64) -> Self {
        let key = (Some(interval.to_owned()), Measure::Lasts);
        Self { programme: 0, values: BTreeMap::from([(key, lasts)]) }
    }

    /// The answer of this cycle, if it has one.
    pub fn value(&self, question: &Question) -> Option<f64> {
        let own = self.programme == question.programme;
        self.values.get(&(question.interval.clone(), question.measure)).copied().filter(|_| own)
    }
}

/// What is measured of these cycles, of each of which the programme and its places are known, and every question that `wanted` lets by, in the order
/// in which they come.
pub(super) fn measure(
    kept: &[Observed],
    placed: &[(usize, &[Placed])],
    wanted: impl Fn(&Question) -> bool,
) -> (Vec<Question>, Vec<Measured>) {
    let mut order: Vec<Question> = Vec::new();
    let mut cycles: Vec<Measured> = Vec::new();
    for (observed, &(programme, places)) in kept.iter().zip(placed) {
        let mut values = BTreeMap::new();
        for (interval, measure, value) in measured(observed.cycle, places, observed.volts) {
            let question = Question { programme, interval, measure };
            if !wanted(&question) {
                continue;
            }
            if !order.contains(&question) {
                order.push(question.clone());
            }
            values.insert((question.interval, measure), value);
        }
        cycles.push(Measured { programme, values });
    }
    (order, cycles)
}

/// All questions with the value of each cycle: what is measured, and what is also asked. Which they are does not depend on the group of any cycle,
/// or the chance of a false alarm would not be what it is told to be; only what varies is asked of so many in each.
pub(super) fn questions(
    order: Vec<Question>,
    cycles: &[Measured],
    kept: &[Observed],
    also: Also,
) -> Vec<(Question, Vec<Option<f64>>)> {
    let groups = kept.iter().map(|o| o.group + 1).max().unwrap_or(0);
    let mut asked = Vec::new();
    for question in order {
        let values: Vec<Option<f64>> = cycles.iter().map(|c| c.value(&question)).collect();
        let comes: Vec<Option<f64>> = cycles
            .iter()
            .zip(&values)
            .map(|(c, v)| (c.programme == question.programme).then(|| f64::from(u8::from(v.is_some()))))
            .collect();
        if also.comes && question.measure == Measure::Lasts && comes.contains(&Some(0.0)) {
            asked.push((Question { measure: Measure::Comes, ..question.clone() }, comes));
        }
        if values.iter().flatten().count() < ASKED_FROM {
            continue;
        }
        let group = |g: u8| kept.iter().zip(&values).filter(|(o, v)| o.group == g && v.is_some()).count();
        let enough = (0..groups).all(|g| group(g) >= VARIES_FROM.get() as usize);
        if also.varies && question.measure == Measure::Lasts && enough {
            let groups: Vec<usize> = kept.iter().map(|o| usize::from(o.group)).collect();
            let off = from_own_median(&values, &groups);
            asked.push((Question { measure: Measure::Varies, ..question.clone() }, off));
        }
        asked.push((question, values));
    }
    asked
}

/// The step in which a measure is read: no difference is told more sharply.
pub(super) fn step(measure: Measure, all: &[Observed]) -> f64 {
    let resolution = all.iter().map(|o| o.cycle.resolution).fold(Seconds(0.1), Seconds::max);
    match measure {
        Measure::Lasts | Measure::Fills | Measure::Varies => resolution.0,
        Measure::Energy => 0.1,
        Measure::Current | Measure::Peak => 0.01,
        Measure::Supply | Measure::Drain => 0.1,
        Measure::Purges | Measure::Comes => 0.0,
    }
}
