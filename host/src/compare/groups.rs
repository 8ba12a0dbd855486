//! Two groups of cycles: sorted into programmes together, blind to which group each is of, and each interval of each programme compared.

use std::collections::BTreeMap;

use tubtrace_units::{Seconds, Volts};

use super::constants::{LEVEL, ONE_NIGHT, VARIES_FROM};
use super::measures::{Measure, Question, measured};
use super::row::{Row, SameWithin};
use super::statistics::{
    Arrangements, Column, Scale, Unit, enough, false_discoveries, from_own_median, least_p, test,
};
use crate::chart::Machine;
use crate::findings::place;
use crate::intervals::{Cycle, Seen};
use crate::parallel;

/// A cycle of a group.
#[derive(Clone, Copy, Debug)]
pub struct Observed<'a> {
    /// The cycle.
    pub cycle: &'a Cycle,
    /// 0 for the first group, 1 for the second.
    pub group: u8,
    /// Its machine, as a number.
    pub machine: usize,
    /// Its log, as a number.
    pub log: usize,
    /// The nominal volts of its log.
    pub volts: Volts,
}

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

/// What of a cycle is compared.
struct Measured {
    at: usize,
    unit: usize,
    values: BTreeMap<(Option<String>, Measure), f64>,
    programme: usize,
}

/// Compares two groups of cycles of these programmes. `exchanged` may be told; else nights are exchanged, or cycles where a group has but one
/// night, or machines where no machine is in both groups and either has several.
#[must_use]
pub fn compare(
    all: &[Observed],
    machine: &Machine,
    exchanged: Option<Exchanged>,
    within: &[SameWithin],
    most: usize,
) -> Comparison {
    let whole = |o: &Observed| o.cycle.lacks().is_none() && o.cycle.seen == Seen::Current;
    let placed = parallel::map(all, |o| if whole(o) { place(machine, o.cycle) } else { None });
    let used: Vec<usize> = (0..all.len()).filter(|&i| placed[i].is_some()).collect();
    let kept: Vec<Observed> = used.iter().map(|&i| all[i]).collect();
    let count = |group: u8| kept.iter().filter(|o| o.group == group).count();
    let exchanged = exchanged.unwrap_or_else(|| exchange(&kept));
    let (units, of) = units(&kept, exchanged);
    let mut order: Vec<Question> = Vec::new();
    let mut cycles: Vec<Measured> = Vec::new();
    for (at, (observed, &index)) in kept.iter().zip(&used).enumerate() {
        let Some((programme, places)) = &placed[index] else { continue };
        let mut values = BTreeMap::new();
        for (interval, measure, value) in measured(observed.cycle, places, observed.volts) {
            let question = Question { programme: *programme, interval: interval.clone(), measure };
            if !order.contains(&question) {
                order.push(question);
            }
            values.insert((interval, measure), value);
        }
        cycles.push(Measured { at, unit: of[at], values, programme: *programme });
    }
    let asked = questions(order, &cycles, &kept);
    let column = |(question, values): &(Question, Vec<Option<f64>>)| Column {
        values: mean_of_units(&cycles, values, units.len()),
        scale: match question.measure {
            Measure::Comes => Scale::Often,
            measure => Scale::Measured(step(measure, &kept)),
        },
    };
    let columns: Vec<Column> = asked.iter().map(column).collect();
    let arrangements = Arrangements::of(&units, most);
    let tested = test(&units, &columns, &arrangements, LEVEL.get());
    let q = false_discoveries(&tested.p);
    let least = least_p(&units);
    let row = |(index, (question, values)): (usize, (Question, Vec<Option<f64>>))| {
        let by_stratum = by_stratum(&units, &columns[index].values);
        let mut own: [Vec<f64>; 2] = Default::default();
        for (cycle, value) in cycles.iter().zip(&values) {
            own[usize::from(kept[cycle.at].group)].extend(*value);
        }
        Row::of((question, index), &tested, q[index], by_stratum, own, (within, least))
    };
    let rows = asked.into_iter().enumerate().map(row).collect();
    let of_programme = |p: usize| {
        [0, 1].map(|g| cycles.iter().filter(|c| c.programme == p && kept[c.at].group == g).count())
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
        units: [0, 1].map(|g| units.iter().filter(|u| u.group == g).count()),
        arrangements: (arrangements.count(), arrangements.is_all()),
        least_p: least,
        enough: enough(LEVEL.get()),
        rows,
    }
}

/// The night of a cycle: its log, and in a long one the day since it began.
fn night(observed: &Observed) -> (usize, u32) {
    const DAY: f64 = 86_400.0;
    let record = &observed.cycle.record;
    let long = record.until > ONE_NIGHT.get() || observed.cycle.end() > ONE_NIGHT.get();
    (observed.log, if long { (observed.cycle.start().0 / DAY) as u32 + 1 } else { 0 })
}

fn distinct<T: Ord>(all: impl Iterator<Item = T>) -> Vec<T> {
    let mut all: Vec<T> = all.collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// What is exchanged where nobody says.
fn exchange(all: &[Observed]) -> Exchanged {
    let of = |group: u8| all.iter().filter(move |o| o.group == group);
    let machines = [0, 1].map(|g| distinct(of(g).map(|o| o.machine)));
    let nights = [0, 1].map(|g| distinct(of(g).map(night)).len());
    let shared = machines[0].iter().any(|m| machines[1].contains(m));
    if !shared && machines.iter().any(|m| m.len() > 1) {
        Exchanged::Machines
    } else if nights.iter().all(|n| *n > 1) {
        Exchanged::Nights
    } else {
        Exchanged::Cycles
    }
}

/// What is exchanged, and which of it each cycle is part of. Only what is of one machine is exchanged, where that machine is in both groups.
fn units(all: &[Observed], exchanged: Exchanged) -> (Vec<Unit>, Vec<usize>) {
    let both =
        |machine: usize| [0, 1].iter().all(|g| all.iter().any(|o| o.machine == machine && o.group == *g));
    let shared: Vec<usize> =
        distinct(all.iter().map(|o| o.machine)).into_iter().filter(|&m| both(m)).collect();
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

/// All questions with the value of each cycle: what is measured, how often what does not always come comes, and how much durations vary.
fn questions(
    order: Vec<Question>,
    cycles: &[Measured],
    kept: &[Observed],
) -> Vec<(Question, Vec<Option<f64>>)> {
    let mut asked = Vec::new();
    for question in order {
        let key = (question.interval.clone(), question.measure);
        let own = |c: &Measured| c.programme == question.programme;
        let values: Vec<Option<f64>> =
            cycles.iter().map(|c| c.values.get(&key).copied().filter(|_| own(c))).collect();
        let group =
            |g: u8| cycles.iter().zip(&values).filter(|(c, v)| kept[c.at].group == g && v.is_some()).count();
        let counts = [group(0), group(1)];
        let present = [0, 1].map(|g| cycles.iter().any(|c| own(c) && kept[c.at].group == g));
        if question.measure == Measure::Lasts && present == [true, true] {
            let comes: Vec<Option<f64>> = cycles
                .iter()
                .zip(&values)
                .map(|(c, v)| own(c).then(|| f64::from(u8::from(v.is_some()))))
                .collect();
            if comes.contains(&Some(0.0)) {
                asked.push((Question { measure: Measure::Comes, ..question.clone() }, comes));
            }
        }
        if counts.contains(&0) || counts[0] + counts[1] < 4 {
            continue;
        }
        if question.measure == Measure::Lasts && counts.iter().all(|n| *n >= VARIES_FROM.get() as usize) {
            let groups: Vec<usize> = cycles.iter().map(|c| usize::from(kept[c.at].group)).collect();
            let off = from_own_median(&values, &groups);
            asked.push((question.clone(), values));
            asked.push((Question { measure: Measure::Varies, ..question }, off));
        } else {
            asked.push((question, values));
        }
    }
    asked
}

/// What is exchanged counts once, with the mean of its cycles.
fn mean_of_units(cycles: &[Measured], values: &[Option<f64>], units: usize) -> Vec<Option<f64>> {
    let mut sums = vec![(0.0, 0.0); units];
    for (cycle, value) in cycles.iter().zip(values) {
        if let Some(value) = value {
            let (sum, count) = &mut sums[cycle.unit];
            *sum += value;
            *count += 1.0;
        }
    }
    sums.into_iter().map(|(sum, count)| (count > 0.0).then(|| sum / count)).collect()
}

fn by_stratum(units: &[Unit], values: &[Option<f64>]) -> Vec<[Vec<f64>; 2]> {
    let strata = units.iter().map(|u| u.stratum + 1).max().unwrap_or(0);
    let mut all: Vec<[Vec<f64>; 2]> = vec![Default::default(); strata];
    for (unit, value) in units.iter().zip(values) {
        all[unit.stratum][usize::from(unit.group)].extend(*value);
    }
    all
}

/// The step in which a measure is read: no difference is told more sharply.
fn step(measure: Measure, all: &[Observed]) -> f64 {
    let resolution = all.iter().map(|o| o.cycle.resolution).fold(Seconds(0.1), Seconds::max);
    match measure {
        Measure::Lasts | Measure::Fills | Measure::Varies => resolution.0,
        Measure::Energy => 0.1,
        Measure::Current | Measure::Peak => 0.01,
        Measure::Supply | Measure::Drain => 0.1,
        Measure::Purges | Measure::Comes => 0.0,
    }
}
