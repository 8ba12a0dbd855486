//! What is exchanged between groups to see what chance does: cycles, nights or machines.

use std::collections::BTreeMap;

use super::constants::ONE_NIGHT;
use super::observed::Observed;
use super::statistics::Unit;

/// What is exchanged between the groups to see what chance does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exchanged {
    /// Cycles, each by itself.
    Cycles,
    /// Nights, with all their cycles: a log, or a day of a long one.
    Nights,
    /// Machines, with all their cycles.
    Machines,
}

/// The night of a cycle: its log, and in a long one the day since it began.
pub(super) fn night(observed: &Observed) -> (usize, u32) {
    const DAY: f64 = 86_400.0;
    let record = &observed.cycle.record;
    let long = record.until > ONE_NIGHT.get() || observed.cycle.end() > ONE_NIGHT.get();
    (observed.log, if long { (observed.cycle.start().0 / DAY) as u32 + 1 } else { 0 })
}

/// Each once, in order.
pub(super) fn distinct<T: Ord>(all: impl Iterator<Item = T>) -> Vec<T> {
    let mut all: Vec<T> = all.collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// What is exchanged where nobody says.
pub(super) fn exchange(all: &[Observed]) -> Exchanged {
    let groups = distinct(all.iter().map(|o| o.group));
    let of = |group: u8| all.iter().filter(move |o| o.group == group);
    let several = groups.iter().any(|g| distinct(of(*g).map(|o| o.machine)).len() > 1);
    if several && shared(all).is_empty() {
        Exchanged::Machines
    } else if groups.iter().all(|g| distinct(of(*g).map(night)).len() > 1) {
        Exchanged::Nights
    } else {
        Exchanged::Cycles
    }
}

/// The machines that have cycles in several groups.
pub(super) fn shared(all: &[Observed]) -> Vec<usize> {
    let groups =
        |machine: usize| distinct(all.iter().filter(|o| o.machine == machine).map(|o| o.group)).len();
    distinct(all.iter().map(|o| o.machine)).into_iter().filter(|&m| groups(m) > 1).collect()
}

/// What is exchanged, and which of it each cycle is part of. Only what is of one machine is exchanged, where that machine is in several groups.
pub(super) fn units(all: &[Observed], exchanged: Exchanged) -> (Vec<Unit>, Vec<usize>) {
    let shared = shared(all);
    let stratum = |o: &Observed| shared.iter().position(|m| *m == o.machine).unwrap_or(shared.len());
    let key = |at: usize, o: &Observed| match exchanged {
        Exchanged::Cycles => (o.machine, at, 0),
        Exchanged::Nights => (o.machine, night(o).0, night(o).1),
        Exchanged::Machines => (o.machine, usize::from(o.group), 0),
    };
    let mut known: BTreeMap<(usize, usize, u32), usize> = BTreeMap::new();
    let (mut units, mut of) = (Vec::new(), Vec::new());
    for (at, observed) in all.iter().enumerate() {
        let index = *known.entry(key(at, observed)).or_insert_with(|| {
            units.push(Unit { stratum: stratum(observed), group: observed.group });
            units.len() - 1
        });
        of.push(index);
    }
    (units, of)
}
