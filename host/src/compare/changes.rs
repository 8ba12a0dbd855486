//! What a repair changed: every interval of the chart before it and after it, asked as two groups are.

use tubtrace_units::Seconds;

use super::answer::{How, answer};
use super::asked::{Also, measure};
use super::groups::Asking;
use super::measures::{Measure, Question};
use super::observed::Observed;
use super::row::{Group, Row};
use super::units::exchange;
use crate::chart::Limits;
use crate::findings::{Judged, Placed};

/// An interval of a programme in two groups.
#[derive(Clone, Debug)]
pub struct Change {
    /// The programme that its cycles are most like.
    pub programme: String,
    /// Name of the interval in the chart.
    pub name: String,
    /// How long the chart has it last; `None` is open-ended.
    pub lasts: Option<Limits<Seconds>>,
    /// How long it lasted in the first group and in the second, where it came, in seconds; what a hole cuts is left out.
    pub groups: [Group; 2],
    /// What the difference comes to; none where one group has nothing of it, or both together fewer than four.
    pub row: Option<Row>,
}

/// The intervals that came in either group, in the order in which they came. `judged` are what these cycles are judged, one by one.
#[must_use]
pub fn changes(all: &[Observed], judged: &[&Judged]) -> Vec<Change> {
    let mut programmes: Vec<&str> = Vec::new();
    let mut placed: Vec<(usize, &[Placed])> = Vec::new();
    for one in judged {
        let known = programmes.iter().position(|p| *p == one.programme);
        let programme = known.unwrap_or_else(|| {
            programmes.push(&one.programme);
            programmes.len() - 1
        });
        placed.push((programme, &one.placed));
    }
    let (order, cycles) = measure(all, &placed, |q| q.interval.is_some() && q.measure == Measure::Lasts);
    let Asking { within, most, .. } = Asking::default();
    let also = Also { comes: false, varies: false };
    let how = How { exchanged: exchange(all), also, within, most, answers: 1 };
    let rows = answer(all, (order.clone(), &cycles), how).rows;
    let change = |question: Question| {
        let name = question.interval.clone().unwrap_or_default();
        let own = placed.iter().filter(|(p, _)| *p == question.programme).flat_map(|(_, places)| *places);
        let values = |group: u8| {
            let own = cycles.iter().zip(all).filter(|(_, o)| o.group == group);
            own.filter_map(|(c, _)| c.value(&question)).collect::<Vec<f64>>()
        };
        Change {
            programme: programmes[question.programme].to_owned(),
            lasts: own.into_iter().find(|p| p.expected.name == name).and_then(|p| p.expected.lasts),
            groups: [0, 1].map(|g| Group::of(&values(g), Measure::Lasts)),
            row: rows.iter().find(|r| r.question == question).cloned(),
            name,
        }
    };
    order.into_iter().map(change).collect()
}

#[cfg(test)]
mod tests {
    use super::super::row::Said;
    use super::*;
    use crate::analysis::Analysis;
    use crate::compare::among;
    use crate::findings::{Causes, Surroundings};
    use crate::intervals::Cycle;
    use crate::log::{Assumptions, parse};
    use tubtrace_simulator::board::record;
    use tubtrace_simulator::machine::Appliance;
    use tubtrace_simulator::scenario::Night;

    /// A cycle of a healthy night, and what it is judged by the others.
    fn judged() -> (Cycle, Judged) {
        let night = Night::healthy(21, Appliance::on_120_volts(), 4);
        let log = parse(&record(&night, 0, |_| {}).unwrap().log, Assumptions::default()).unwrap();
        let mut cycles = Analysis::of(&log.trace).cycles;
        let surroundings = Surroundings::of(&log.trace, &cycles);
        let mut judged = among(&cycles, log.trace.resolution, surroundings, Causes::built_in());
        (cycles.swap_remove(1), judged.swap_remove(1))
    }

    /// So many cycles before and after, each interval of which lasts as `lasts` says of its cycle, its group and its place.
    fn asked(count: usize, lasts: impl Fn(usize, u8, usize) -> f64) -> Vec<Change> {
        let (cycle, judged) = judged();
        let (mut all, mut every) = (Vec::new(), Vec::new());
        for (group, at) in [0, 1].into_iter().flat_map(|g| (0..count).map(move |i| (g, i))) {
            let mut own = judged.clone();
            for (place, placed) in own.placed.iter_mut().enumerate() {
                placed.lasted = Seconds(lasts(at, group, place));
            }
            all.push(Observed { group, log: group.into(), ..Observed::plain(&cycle) });
            every.push(own);
        }
        changes(&all, &every.iter().collect::<Vec<_>>())
    }

    /// A number from -1 to 1 that looks like chance: the fraction of a sine (a common trick, no source).
    fn noise(at: usize, group: u8, place: usize) -> f64 {
        let x =
            (at as f64 * 12.989_8 + f64::from(group) * 37.719 + place as f64 * 78.233).sin() * 43_758.545_3;
        2.0 * (x - x.floor()) - 1.0
    }

    #[test]
    fn three_seconds_of_a_drain_are_told_though_the_groups_overlap() {
        // The standard deviation of a uniform number from -1 to 1 is the root of a third.
        let lasts = |at, group, place| {
            let longer = if place == 3 && group == 1 { 3.0 } else { 0.0 };
            60.0 + longer + 0.8 * 3.0_f64.sqrt() * noise(at, group, place)
        };
        let changes = asked(250, lasts);
        let differ: Vec<&Change> =
            changes.iter().filter(|c| c.row.as_ref().is_some_and(|r| r.said == Said::Differs)).collect();
        assert_eq!(differ.len(), 1, "{differ:?}");
        let row = differ[0].row.as_ref().unwrap();
        let (low, high) = row.interval.unwrap();
        assert!(low <= 3.0 && high >= 3.0 && high - low < 0.6, "{row:?}");
    }

    #[test]
    fn three_and_three_cannot_tell_and_one_and_one_are_not_asked() {
        let changes_of = |count| asked(count, |at, group, _| f64::from(group) * 100.0 + at as f64);
        let changes = changes_of(3);
        assert!(!changes.is_empty());
        assert!(changes.iter().all(|c| c.row.as_ref().unwrap().said == Said::CannotTell));
        let changes = changes_of(1);
        assert!(changes.iter().all(|c| c.row.is_none() && c.groups.map(|g| g.count) == [1, 1]));
    }
}
