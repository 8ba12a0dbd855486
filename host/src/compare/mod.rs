//! The cycles of one log against each other: the odd one out, where nobody has a chart. And two groups of cycles.

mod chance;
mod changes;
mod constants;

use tubtrace_units::Seconds;

use crate::chart::Machine;
use crate::findings::{Causes, Judged, Known, Surroundings, judge_as};
use crate::intervals::Cycle;
use crate::learn::{ENOUGH, draw, spread};
use crate::programme::recognise;

pub use chance::NotSeen;
pub use changes::{Change, Spread, changes};
pub(crate) use constants::ALL as CONSTANTS;
use constants::FEWEST;

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
    let mut judged = Vec::new();
    for _ in 0..ROUNDS {
        judged = cycles
            .iter()
            .enumerate()
            .map(|(i, cycle)| {
                let others: Vec<&Cycle> = others(i, &usual).into_iter().map(|j| &cycles[j]).collect();
                let machine = draw(&others, OTHERS, resolution)
                    .map_or_else(|_| Machine::unknown(), |learned| learned.machine);
                let recognised = recognise(&machine, cycle);
                let few = machine.programmes[recognised.programme].seen < FEWEST.get();
                let known = match recognised.is_known() && !few {
                    true => Known::Yes,
                    false => Known::Alone,
                };
                judge_as(&machine, &recognised, known, cycle, surroundings, causes)
            })
            .collect();
        let now = set_aside(&judged);
        if now == usual {
            break;
        }
        usual = now;
    }
    judged
}

/// The usual cycles that this one is held against.
fn others(own: usize, usual: &[bool]) -> Vec<usize> {
    let all: Vec<usize> = (0..usual.len()).filter(|&j| j != own && usual[j]).collect();
    spread(all.len(), ENOUGH).map(|i| all[i]).collect()
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
