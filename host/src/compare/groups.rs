//! Two groups of cycles: sorted into programmes together, blind to which group each is of, and each interval of each programme compared.

use super::answer::{How, answer};
use super::asked::{Also, measure};
use super::constants::LEVEL;
use super::drift::{Drift, drift};
use super::observed::Observed;
use super::outlying::{Odd, outlying};
use super::row::{Row, SameWithin};
use super::statistics::enough;
use super::units::{Exchanged, distinct, exchange, night};
use crate::chart::Machine;
use crate::findings::{Placed, place};
use crate::intervals::Seen;
use crate::parallel;

/// Two groups compared.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// Names of the programmes, with how many cycles of each group are of it.
    pub programmes: Vec<(String, [usize; 2])>,
    /// Cycles of each group that were compared.
    pub cycles: [usize; 2],
    /// Cycles of each group that were not: cut, not metered, or of no programme.
    pub left_out: [usize; 2],
    /// Machines of each group.
    pub machines: [usize; 2],
    /// Machines that have cycles in both groups.
    pub shared_machines: usize,
    /// Nights of each group.
    pub nights: [usize; 2],
    /// What was exchanged.
    pub exchanged: Exchanged,
    /// How many of those each group has.
    pub units: [usize; 2],
    /// How many arrangements were tried, and whether these are all.
    pub arrangements: (usize, bool),
    /// The least probability that so few can give.
    pub least_p: f64,
    /// How many of what is exchanged each group would have to have at least.
    pub enough: usize,
    /// Each question.
    pub rows: Vec<Row>,
    /// What drifts within a group.
    pub drifts: Vec<Drift>,
    /// Cycles that are far from the others of their group, the furthest first.
    pub odd: Vec<Odd>,
}

/// What is asked of two groups, and how.
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
}

impl Default for Asking<'_> {
    fn default() -> Self {
        Self { exchanged: None, within: &[], varies: false, most: 10_000 }
    }
}

/// Compares two groups of cycles of these programmes.
#[must_use]
pub fn compare(all: &[Observed], machine: &Machine, asking: Asking) -> Comparison {
    let whole = |o: &Observed| o.cycle.lacks().is_none() && o.cycle.seen == Seen::Current;
    let placed = parallel::map(all, |o| if whole(o) { place(machine, o.cycle) } else { None });
    let found = all.iter().zip(&placed).filter_map(|(o, p)| Some((*o, p.as_ref()?)));
    let (kept, placed): (Vec<Observed>, Vec<(usize, &[Placed])>) =
        found.map(|(o, (programme, places))| (o, (*programme, &**places))).unzip();
    let count = |group: u8| kept.iter().filter(|o| o.group == group).count();
    let exchanged = asking.exchanged.unwrap_or_else(|| exchange(&kept));
    let (order, cycles) = measure(&kept, &placed, |_| true);
    let also = Also { comes: true, varies: asking.varies };
    let how = How { exchanged, also, within: asking.within, most: asking.most };
    let (drifts, odd) = (drift(&kept, (&order, &cycles), exchanged), outlying(&kept, (&order, &cycles)));
    let answer = answer(&kept, (order, &cycles), how);
    let of_programme = |p: usize| {
        let own = |g: u8| cycles.iter().zip(&kept).filter(|(c, o)| c.programme == p && o.group == g).count();
        [own(0), own(1)]
    };
    let programmes =
        machine.programmes.iter().enumerate().map(|(p, chart)| (chart.name.clone(), of_programme(p)));
    let machines = |group: u8| distinct(kept.iter().filter(|o| o.group == group).map(|o| o.machine));
    let shared = machines(0).iter().filter(|m| machines(1).contains(m)).count();
    Comparison {
        programmes: programmes.collect(),
        cycles: [count(0), count(1)],
        left_out: [0, 1].map(|g| all.iter().filter(|o| o.group == g).count() - count(g)),
        machines: [machines(0).len(), machines(1).len()],
        shared_machines: shared,
        nights: [0, 1].map(|g| distinct(kept.iter().filter(|o| o.group == g).map(night)).len()),
        exchanged,
        units: answer.units,
        arrangements: answer.arrangements,
        least_p: answer.least_p,
        enough: enough(LEVEL.get()),
        rows: answer.rows,
        drifts,
        odd,
    }
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
        assert!((one.exchanged, one.units, one.nights) == (Exchanged::Cycles, [2, 2], [1, 1]));
        assert_eq!((one.cycles, one.shared_machines), ([2, 2], 1));
        assert!(!one.rows.is_empty() && one.rows.iter().all(|r| r.said == Said::CannotTell));
        // Of four and four 2 of 70 arrangements differ as much as can be: 0.029; of three and three 2 of 20.
        assert_eq!(one.enough, 4);
        assert_eq!(compared(|i| ((i / 2) as u8, 0, i)).exchanged, Exchanged::Nights);
        let machines = compared(|i| ((i / 2) as u8, i, i));
        assert!(machines.exchanged == Exchanged::Machines && machines.shared_machines == 0);
        assert!(one.rows.iter().all(|r| r.question.measure != Measure::Varies));
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
