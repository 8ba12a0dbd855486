//! The cycles of one log against each other: the odd one out, where nobody has a chart. And two groups of cycles.

mod answer;
mod asked;
mod chance;
mod changes;
mod constants;
mod curves;
mod drift;
#[cfg(test)]
mod examples;
mod faulty;
mod groups;
mod measures;
mod observed;
mod outlying;
mod row;
pub mod statistics;
mod units;

use std::collections::BTreeMap;

use tubtrace_units::Seconds;

use crate::chart::Machine;
use crate::findings::{Causes, Judged, Known, Surroundings, judge_as};
use crate::intervals::Cycle;
use crate::learn::{ENOUGH, draw, spread};
use crate::parallel;
use crate::programme::recognise;

pub use chance::NotSeen;
pub use changes::{Change, changes};
pub(crate) use constants::ALL as CONSTANTS;
use constants::FEWEST;
pub use curves::{Curves, Point, Stretch};
pub use drift::Drift;
pub use faulty::{Faulty, faulty};
pub use groups::{Asking, Comparison, Pair, compare};
pub use measures::{Measure, Question};
pub use observed::Observed;
pub use outlying::Odd;
pub use row::{Group, Row, Said, SameWithin};
pub use units::Exchanged;

/// What is said to be the chart of cycles that are held against each other.
pub const OTHERS: &str = "none; each cycle against the others";

/// Rounds in which odd ones are set aside before the rest is learned from again.
const ROUNDS: usize = 3;

/// Judges each cycle by what the others say of the machine, those set aside that turn out to be odd. A cycle of whose programme there are
/// fewer than three others is held against none. In a log of very many cycles the others are two dozen that are spread over all of it.
#[must_use]
pub fn among(
    cycles: &[Cycle],
    resolution: Seconds,
    surroundings: Surroundings,
    causes: &Causes,
) -> Vec<Judged> {
    let mut usual = vec![true; cycles.len()];
    let mut machines: BTreeMap<Vec<usize>, Machine> = BTreeMap::new();
    let mut judged: Vec<(Vec<usize>, Judged)> = Vec::new();
    for _ in 0..ROUNDS {
        let others: Vec<Vec<usize>> = (0..cycles.len()).map(|i| others(i, &usual)).collect();
        // Of very many cycles most have the same others, from which is learned once.
        let mut new: Vec<&Vec<usize>> = others.iter().filter(|o| !machines.contains_key(*o)).collect();
        new.sort_unstable();
        new.dedup();
        let drawn = parallel::map(&new, |others| {
            let others: Vec<&Cycle> = others.iter().map(|&j| &cycles[j]).collect();
            draw(&others, OTHERS, resolution).map_or_else(|_| Machine::unknown(), |learned| learned.machine)
        });
        machines.extend(new.into_iter().cloned().zip(drawn));
        let all: Vec<usize> = (0..cycles.len()).collect();
        let held = parallel::map(&all, |&i| match judged.get(i) {
            Some((by, before)) if *by == others[i] => before.clone(),
            _ => held_against(&machines[&others[i]], &cycles[i], surroundings, causes),
        });
        let now = set_aside(&held);
        judged = others.into_iter().zip(held).collect();
        if now == usual {
            break;
        }
        usual = now;
    }
    judged.into_iter().map(|(_, judged)| judged).collect()
}

/// A cycle held against what others say of their machine.
fn held_against(machine: &Machine, cycle: &Cycle, surroundings: Surroundings, causes: &Causes) -> Judged {
    let recognised = recognise(machine, cycle);
    let few = machine.programmes[recognised.programme].seen < FEWEST.get();
    let known = match recognised.is_known() && !few {
        true => Known::Yes,
        false => Known::Alone,
    };
    judge_as(machine, &recognised, known, cycle, surroundings, causes)
}

/// The usual cycles that this one is held against: all others, or as many as are enough, spread over all of the log and the same for each
/// but those that are among them.
fn others(own: usize, usual: &[bool]) -> Vec<usize> {
    let all: Vec<usize> = (0..usual.len()).filter(|&j| usual[j]).collect();
    let without_own = || all.iter().copied().filter(|&j| j != own);
    if without_own().count() <= ENOUGH {
        return without_own().collect();
    }
    let spread: Vec<usize> = spread(all.len(), ENOUGH).map(|i| all[i]).collect();
    let in_its_place = all.iter().copied().filter(|j| !spread.contains(j)).min_by_key(|j| j.abs_diff(own));
    let instead = |j: usize| if j == own { in_its_place.unwrap_or(j) } else { j };
    let mut others: Vec<usize> = spread.iter().map(|&j| instead(j)).collect();
    others.sort_unstable();
    others
}

/// Which cycles are usual. While more than half are odd, only the oddest are set aside: they are what makes the rest look so.
fn set_aside(judged: &[Judged]) -> Vec<bool> {
    let mut counts: Vec<usize> = judged.iter().map(|j| j.findings.len()).collect();
    counts.sort_unstable();
    let Some(&most) = counts.get(counts.len() / 2) else { return Vec::new() };
    judged.iter().map(|j| j.findings.len() <= most).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::Analysis;
    use crate::log::{Assumptions, parse};
    use tubtrace_simulator::board::record;
    use tubtrace_simulator::machine::{Appliance, Fault};
    use tubtrace_simulator::scenario::{Night, Plan};

    #[test]
    fn the_others_are_all_of_few_and_some_of_many() {
        let usual = [true, true, false, true];
        assert_eq!(others(1, &usual), [0, 3]);
        for count in [25, 26, 120, 5_000] {
            let others = others(count / 2, &vec![true; count]);
            assert_eq!(others.len(), 24, "{count}");
            assert!(others.windows(2).all(|p| p[0] < p[1]) && !others.contains(&(count / 2)));
        }
    }

    #[test]
    fn the_odd_one_is_found_without_a_chart() {
        let mut night = Night::healthy(21, Appliance::on_120_volts(), 5);
        night.plans[2] = Plan { trouble: Some(Fault::NoHeat.into()), ..night.plans[2] };
        let log = parse(&record(&night, 0, |_| {}).unwrap().log, Assumptions::default()).unwrap();
        let cycles = Analysis::of(&log.trace).cycles;
        let surroundings = Surroundings::of(&log.trace, &cycles);
        let judged = among(&cycles, log.trace.resolution, surroundings, Causes::built_in());
        let odd: Vec<usize> = (0..cycles.len()).filter(|&i| !judged[i].findings.is_empty()).collect();
        // A rinse that one of five adds is as odd as a fault; more than that would be alarms.
        assert!(odd.contains(&2) && odd.len() <= 2, "{odd:?}");
        assert_eq!(judged[2].findings[0].advice.suspects[0].word, "element-open");
    }
}
