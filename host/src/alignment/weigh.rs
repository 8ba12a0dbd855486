//! How probable an explanation is beside the others that were tried, and which of those says something else.

use std::ops::Range;

use super::explanation::{Alignment, Explanation, Hypothesis, Place, RunnerUp, Step};
use super::phases::Phase;
use crate::chart::Chart;

/// The first of these alignments, with its probability beside the others and the next that says something else.
pub(super) fn weigh(
    chart: &Chart,
    phases: Vec<Phase>,
    mut tried: Vec<(Alignment, Hypothesis)>,
) -> Explanation {
    let says: Vec<Vec<Said>> = tried.iter().map(|(a, _)| saying(chart, &a.steps)).collect();
    // Costs are minus logarithms of probabilities.
    let least = tried.first().map_or(0.0, |t| t.0.cost);
    let weight = |cost: f64| (least - cost).exp();
    let all: f64 = tried.iter().map(|t| weight(t.0.cost)).sum();
    // Whatever says the same is the same explanation: which of two rinses was left out is no difference.
    let of = |i: usize| -> f64 {
        let same = |j: &usize| tried[*j].1 == tried[i].1 && says[*j] == says[i];
        (0..tried.len()).filter(same).map(|j| weight(tried[j].0.cost)).sum::<f64>() / all
    };
    let next = (1..tried.len()).find(|&i| tried[i].1 != tried[0].1 || says[i] != says[0]);
    let runner_up = next.map(|i| {
        let alike = says[0].iter().zip(&says[i]).take_while(|(a, b)| a == b).count();
        let from = says[0].get(alike).or(says[i].get(alike)).map_or(0, |s| s.phases.start);
        RunnerUp {
            hypothesis: tried[i].1,
            from: from.min(phases.len().saturating_sub(1)),
            probability: of(i),
        }
    });
    let probability = of(0);
    let (best, hypothesis) = tried.swap_remove(0);
    Explanation { phases, steps: best.steps, cost: best.cost, hypothesis, probability, runner_up }
}

/// What a step says, apart from which of several copies of a part it is about: phases, and the interval of the chart that
/// they are, or that is missing there.
#[derive(PartialEq, Eq)]
struct Said {
    phases: Range<usize>,
    is: Option<(usize, usize)>,
}

fn saying(chart: &Chart, steps: &[Step]) -> Vec<Said> {
    let of = |place: &Place| Some((place.part, place.interval));
    let said = |step: &Step| match step {
        Step::Matched { place, phases } | Step::Unheated { place, phases, .. } => {
            Some(Said { phases: phases.clone(), is: of(place) })
        }
        Step::Missing { place, .. } if chart.parts[place.part].intervals[place.interval].may => None,
        Step::Missing { place, before } => Some(Said { phases: *before..*before, is: of(place) }),
        Step::Extra { phase } => Some(Said { phases: *phase..*phase + 1, is: None }),
    };
    steps.iter().filter_map(said).collect()
}
