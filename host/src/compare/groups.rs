//! Groups of cycles: sorted into programmes together, blind to which group each is of, and each interval of each programme compared.

use super::answer::{How, answer};
use super::asked::{Also, Measured, measure};
use super::constants::LEVEL;
use super::curves::{Curves, curves};
use super::drift::{Drift, drift};
use super::measures::Question;
use super::observed::Observed;
use super::outlying::{Odd, outlying};
use super::row::{Row, SameWithin};
use super::statistics::enough;
use super::units::{Exchanged, distinct, exchange, night, shared};
use crate::chart::Machine;
use crate::findings::{Placed, place};
use crate::intervals::Seen;
use crate::parallel;

/// Groups compared: two, or more.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// Names of the programmes, with how many cycles of each group are of it.
    pub programmes: Vec<(String, Vec<usize>)>,
    /// Cycles of each group that were compared.
    pub cycles: Vec<usize>,
    /// Cycles of each group that were not: cut, not metered, or of no programme.
    pub left_out: Vec<usize>,
    /// Machines of each group.
    pub machines: Vec<usize>,
    /// Machines that have cycles in several groups.
    pub shared_machines: usize,
    /// Nights of each group.
    pub nights: Vec<usize>,
    /// What was exchanged.
    pub exchanged: Exchanged,
    /// How many of those each group has.
    pub units: Vec<usize>,
    /// How many arrangements were tried, and whether these are all.
    pub arrangements: (usize, bool),
    /// The least probability that so few can give.
    pub least_p: f64,
    /// How many of what is exchanged each group would have to have at least.
    pub enough: usize,
    /// Each question; of more than two groups whether any of them differs (Kruskal and Wallis).
    pub rows: Vec<Row>,
    /// Of more than two groups, each pair of them.
    pub pairs: Vec<Pair>,
    /// What drifts within a group.
    pub drifts: Vec<Drift>,
    /// Cycles that are far from the others of their group, the furthest first.
    pub odd: Vec<Odd>,
    /// The current along each programme, where it was asked for.
    pub curves: Vec<Curves>,
}

/// Two of several groups.
#[derive(Clone, Debug)]
pub struct Pair {
    /// Which.
    pub groups: [u8; 2],
    /// Each question; the chance of a false alarm is that in any pair.
    pub rows: Vec<Row>,
}

/// What is asked of groups, and how.
#[derive(Clone, Copy, Debug)]
pub struct Asking<'a> {
    /// What is exchanged. Where nobody says: nights; cycles where a group has but one night; machines where no machine is in both groups and
    /// either has several.
    pub exchanged: Option<Exchanged>,
    /// Within what the groups are called the same.
    pub within: &'a [SameWithin],
    /// Whether it is asked as well how much durations vary. How far values are from the median of their own group is only about exchangeable, so
    /// the chance of a false alarm is then only about what is told.
    pub varies: bool,
    /// How many arrangements are tried, where there are more.
    pub most: usize,
    /// Whether the current along each programme is compared as well; of two groups only.
    pub curves: bool,
}

impl Default for Asking<'_> {
    fn default() -> Self {
        Self { exchanged: None, within: &[], varies: false, most: 10_000, curves: false }
    }
}

/// Compares groups of cycles of these programmes; their numbers are those from 0 on.
#[must_use]
pub fn compare(all: &[Observed], machine: &Machine, asking: Asking) -> Comparison {
    let whole = |o: &Observed| o.cycle.lacks().is_none() && o.cycle.seen == Seen::Current;
    let placed = parallel::map(all, |o| if whole(o) { place(machine, o.cycle) } else { None });
    let found = all.iter().zip(&placed).filter_map(|(o, p)| Some((*o, p.as_ref()?)));
    let (kept, placed): (Vec<Observed>, Vec<(usize, &[Placed])>) =
        found.map(|(o, (programme, places))| (o, (*programme, &**places))).unzip();
    let exchanged = asking.exchanged.unwrap_or_else(|| exchange(&kept));
    let (order, cycles) = measure(&kept, &placed, |_| true);
    let also = Also { comes: true, varies: asking.varies };
    let how = How { exchanged, also, within: asking.within, most: asking.most, answers: 1 };
    let (drifts, odd) = (drift(&kept, (&order, &cycles), exchanged), outlying(&kept, (&order, &cycles)));
    let groups = all.iter().map(|o| o.group + 1).max().unwrap_or(0);
    let curves = match asking.curves && groups == 2 {
        true => curves(&kept, &placed, exchanged, asking.most),
        false => Vec::new(),
    };
    let pairs = pairs(&kept, (&order, &cycles), groups, how);
    let answer = answer(&kept, (order, &cycles), how);
    let each = |of: &dyn Fn(u8) -> usize| (0..groups).map(of).collect::<Vec<usize>>();
    let own = |group: u8| kept.iter().filter(move |o| o.group == group);
    let of_programme = |p: usize| {
        each(&|g| cycles.iter().zip(&kept).filter(|(c, o)| c.programme == p && o.group == g).count())
    };
    let programmes =
        machine.programmes.iter().enumerate().map(|(p, chart)| (chart.name.clone(), of_programme(p)));
    Comparison {
        programmes: programmes.collect(),
        cycles: each(&|g| own(g).count()),
        left_out: each(&|g| all.iter().filter(|o| o.group == g).count() - own(g).count()),
        machines: each(&|g| distinct(own(g).map(|o| o.machine)).len()),
        shared_machines: shared(&kept).len(),
        nights: each(&|g| distinct(own(g).map(night)).len()),
        exchanged,
        units: answer.units,
        arrangements: answer.arrangements,
        least_p: answer.least_p,
        enough: enough(LEVEL.get()),
        rows: answer.rows,
        pairs,
        drifts,
        odd,
        curves,
    }
}

/// Each pair of more than two groups, by itself: a difference is told where chance makes as much of any question of any pair in five of a hundred.
fn pairs(kept: &[Observed], (order, cycles): (&[Question], &[Measured]), groups: u8, how: How) -> Vec<Pair> {
    if groups < 3 {
        return Vec::new();
    }
    let all: Vec<[u8; 2]> = (0..groups).flat_map(|a| (a + 1..groups).map(move |b| [a, b])).collect();
    let of = |pair: [u8; 2]| {
        let own = kept.iter().zip(cycles).filter(|(o, _)| pair.contains(&o.group));
        let relabelled =
            own.map(|(o, c)| (Observed { group: u8::from(o.group == pair[1]), ..*o }, c.clone()));
        let (kept, cycles): (Vec<Observed>, Vec<Measured>) = relabelled.unzip();
        Pair {
            groups: pair,
            rows: answer(&kept, (order.to_vec(), &cycles), How { answers: all.len(), ..how }).rows,
        }
    };
    all.iter().map(|pair| of(*pair)).collect()
}

#[cfg(test)]
mod tests {
    use tubtrace_simulator::board::record;
    use tubtrace_simulator::machine::Appliance;
    use tubtrace_simulator::scenario::Night;

    use super::super::measures::{Measure, measured};
    use super::super::row::Said;
    use super::*;
    use crate::analysis::Analysis;
    use crate::intervals::Cycle;
    use crate::learn::draw;
    use crate::log::{Assumptions, parse};
    use tubtrace_units::{Seconds, Volts};

    /// The cycles of a healthy night, and what they have in common.
    fn night_of(count: usize) -> (Vec<Cycle>, Machine) {
        let night = Night::healthy(21, Appliance::on_120_volts(), count);
        let log = parse(&record(&night, 0, |_| {}).unwrap().log, Assumptions::default()).unwrap();
        let cycles = Analysis::of(&log.trace).cycles;
        let machine = draw(&cycles.iter().collect::<Vec<_>>(), "", log.trace.resolution).unwrap().machine;
        (cycles, machine)
    }

    fn observed(cycles: &[Cycle], of: impl Fn(usize) -> (u8, usize, usize)) -> Vec<Observed<'_>> {
        let one = |(at, cycle)| {
            let (group, machine, log) = of(at);
            Observed { group, machine, log, ..Observed::plain(cycle) }
        };
        cycles.iter().enumerate().map(one).collect()
    }

    #[test]
    fn what_is_exchanged_follows_from_nights_and_machines() {
        let (cycles, machine) = night_of(4);
        let compared = |of: fn(usize) -> (u8, usize, usize)| {
            compare(&observed(&cycles, of), &machine, Asking::default())
        };
        // One night on each side; two of one machine; two machines on each side.
        let one = compared(|i| ((i / 2) as u8, 0, i / 2));
        assert!(
            (one.exchanged, one.units.clone(), one.nights.clone())
                == (Exchanged::Cycles, vec![2, 2], vec![1, 1])
        );
        assert_eq!((&*one.cycles, one.shared_machines), (&[2, 2][..], 1));
        assert!(!one.rows.is_empty() && one.rows.iter().all(|r| r.said == Said::CannotTell));
        // Of four and four 2 of 70 arrangements differ as much as can be: 0.029; of three and three 2 of 20.
        assert_eq!(one.enough, 4);
        assert_eq!(compared(|i| ((i / 2) as u8, 0, i)).exchanged, Exchanged::Nights);
        let machines = compared(|i| ((i / 2) as u8, i, i));
        assert!(machines.exchanged == Exchanged::Machines && machines.shared_machines == 0);
        assert!(one.rows.iter().all(|r| r.question.measure != Measure::Varies));
    }

    /// Of three groups of which the third is another, that one differs from both, and the first two do not differ.
    #[test]
    fn of_three_groups_the_odd_one_is_in_two_pairs() {
        let (cycles, machine) = night_of(1);
        let slow = |cycle: &Cycle| {
            let mut slow = cycle.clone();
            let last = slow.intervals.len() - 1;
            // The last interval goes on for a minute.
            slow.intervals[last].end += Seconds(60.0);
            slow
        };
        let (cycle, slow) = (&cycles[0], slow(&cycles[0]));
        let one = |i: usize| {
            let of = if i >= 12 { &slow } else { cycle };
            Observed { group: (i / 6) as u8, log: i, ..Observed::plain(of) }
        };
        let all: Vec<Observed> = (0..18).map(one).collect();
        let compared = compare(&all, &machine, Asking { most: 2_000, ..Asking::default() });
        let differs = |rows: &[Row]| rows.iter().filter(|r| r.said == Said::Differs).count();
        assert_eq!(compared.cycles, [6, 6, 6]);
        assert!(differs(&compared.rows) > 0 && compared.rows.iter().all(|r| r.groups.len() == 3));
        let pairs: Vec<([u8; 2], bool)> =
            compared.pairs.iter().map(|p| (p.groups, differs(&p.rows) > 0)).collect();
        assert_eq!(pairs, [([0, 1], false), ([0, 2], true), ([1, 2], true)]);
    }

    /// The same cycles in both groups, but that those of the second draw a fifth more: it is told all along, and where it heats by how much.
    #[test]
    fn currents_part_where_one_group_draws_more() {
        let (cycles, machine) = night_of(1);
        let one = |i: usize| Observed { group: (i / 6) as u8, log: i, ..Observed::plain(&cycles[0]) };
        let more = |i: usize| {
            let Observed { volts, .. } = one(i);
            let wander = 1.0 + 0.002 * (i % 6) as f64;
            Observed { volts: Volts(volts.0 * wander / if i >= 6 { 1.2 } else { 1.0 }), ..one(i) }
        };
        let asking = Asking { most: 1_000, curves: true, ..Asking::default() };
        let compared = compare(&(0..12).map(more).collect::<Vec<_>>(), &machine, asking);
        let points: Vec<_> = compared.curves[0].stretches.iter().flat_map(|s| &s.points).collect();
        let strong: Vec<_> = points.iter().filter(|p| p.middles[0] > 1.0).collect();
        assert!(!strong.is_empty() && strong.iter().all(|p| p.differs), "{strong:?}");
        for point in strong {
            let apart = point.middles[1] / point.middles[0];
            assert!(
                (apart - 1.2).abs() < 0.01 && point.within.unwrap() < 0.1 * point.middles[0],
                "{point:?}"
            );
        }
        let alike = compare(&(0..12).map(one).collect::<Vec<_>>(), &machine, asking);
        assert!(alike.curves[0].stretches.iter().flat_map(|s| &s.points).all(|p| !p.differs));
    }

    #[test]
    fn the_parts_of_a_cycle_add_up_to_it() {
        let (cycles, machine) = night_of(4);
        let cycle = &cycles[1];
        let (_, places) = place(&machine, cycle).unwrap();
        let all = measured(cycle, &places, Volts(120.0));
        let whole = |m| all.iter().find(|(i, measure, _)| i.is_none() && *measure == m).unwrap().2;
        let parts = |m| all.iter().filter(move |(i, measure, _)| i.is_some() && *measure == m).map(|v| v.2);
        assert_eq!(Seconds(whole(Measure::Lasts)), cycle.duration());
        let energy: f64 = parts(Measure::Energy).sum();
        assert!(
            energy <= whole(Measure::Energy) * 1.001 && energy > 0.9 * whole(Measure::Energy),
            "{energy}"
        );
        let highest = parts(Measure::Peak).fold(0.0, f64::max);
        assert!((highest - whole(Measure::Peak)).abs() < 1e-9, "{highest}");
        assert!(parts(Measure::Current).all(|a| a <= highest) && parts(Measure::Lasts).all(|s| s > 0.0));
    }
}
