//! Two groups of cycles: sorted into programmes together, blind to which group each is of, and each interval of each programme compared.

use super::answer::{How, answer};
use super::asked::{Also, measure};
use super::constants::LEVEL;
use super::observed::Observed;
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
    /// The least probability that so few can give, and the least number in each group that could tell.
    pub least_p: f64,
    /// How many of what is exchanged each group would have to have at least.
    pub enough: usize,
    /// Each question.
    pub rows: Vec<Row>,
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
    }
}
