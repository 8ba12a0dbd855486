//! How probable an explanation is beside the others that were tried, and which of those says something else.

use std::ops::Range;

use super::{Act, Alignment, Explanation, Place, Rival, Step, Story};
use crate::chart::Chart;

/// The first of these alignments, with its probability beside the others and the next that says something else.
pub(super) fn weigh(chart: &Chart, acts: Vec<Act>, mut told: Vec<(Alignment, Story)>) -> Explanation {
    let says: Vec<Vec<Said>> = told.iter().map(|(a, _)| saying(chart, &a.steps)).collect();
    // Costs are minus logarithms of probabilities.
    let least = told.first().map_or(0.0, |t| t.0.cost);
    let weight = |cost: f64| (least - cost).exp();
    let all: f64 = told.iter().map(|t| weight(t.0.cost)).sum();
    // Whatever says the same is the same explanation: which of two rinses was left out is no difference.
    let of = |i: usize| -> f64 {
        let same = |j: &usize| told[*j].1 == told[i].1 && says[*j] == says[i];
        (0..told.len()).filter(same).map(|j| weight(told[j].0.cost)).sum::<f64>() / all
    };
    let next = (1..told.len()).find(|&i| told[i].1 != told[0].1 || says[i] != says[0]);
    let next_best = next.map(|i| {
        let alike = says[0].iter().zip(&says[i]).take_while(|(a, b)| a == b).count();
        let from = says[0].get(alike).or(says[i].get(alike)).map_or(0, |s| s.acts.start);
        Rival { story: told[i].1, from: from.min(acts.len().saturating_sub(1)), probability: of(i) }
    });
    let probability = of(0);
    let (best, story) = told.swap_remove(0);
    Explanation { acts, steps: best.steps, cost: best.cost, story, probability, next_best }
}

/// What a step says, apart from which of several copies of a part it is about: acts, and the interval of the chart that
/// they are, or that is missing there.
#[derive(PartialEq, Eq)]
struct Said {
    acts: Range<usize>,
    is: Option<(usize, usize)>,
}

fn saying(chart: &Chart, steps: &[Step]) -> Vec<Said> {
    let of = |place: &Place| Some((place.part, place.interval));
    let said = |step: &Step| match step {
        Step::Matched { place, acts } | Step::Unheated { place, acts, .. } => {
            Some(Said { acts: acts.clone(), is: of(place) })
        }
        Step::Missing { place, .. } if chart.parts[place.part].intervals[place.interval].may => None,
        Step::Missing { place, before } => Some(Said { acts: *before..*before, is: of(place) }),
        Step::Extra { act } => Some(Said { acts: *act..*act + 1, is: None }),
    };
    steps.iter().filter_map(said).collect()
}
