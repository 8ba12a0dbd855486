//! The current of two groups along a programme. Where intervals begin and end is where cycles are laid upon each other; within an interval time is
//! stretched to what it lasts as a rule (landmark registration: Kneip and Gasser, Annals of Statistics 20, 1992).

use std::collections::BTreeMap;

use tubtrace_units::{Seconds, Volts};

use super::answer::mean_of_units;
use super::asked::step;
use super::constants::{ALONG, LEVEL};
use super::measures::Measure;
use super::observed::Observed;
use super::statistics::{Arrangements, Column, Scale, band, least_p, test};
use super::units::{Exchanged, distinct, units};
use crate::findings::Placed;
use crate::intervals::{Cycle, Kind};
use crate::stats::median;

/// The current of two groups along a programme.
#[derive(Clone, Debug)]
pub struct Curves {
    /// The programme, as an index into those of the machine.
    pub programme: usize,
    /// Its intervals that most cycles of both groups have, one behind the other.
    pub stretches: Vec<Stretch>,
}

/// An interval along a programme.
#[derive(Clone, Debug)]
pub struct Stretch {
    /// As the chart calls it.
    pub name: String,
    /// What the machine does in it.
    pub kind: Kind,
    /// How long it lasts as a rule.
    pub lasts: Seconds,
    /// Parts of it that are as long, one behind the other.
    pub points: Vec<Point>,
}

/// A part of an interval.
#[derive(Clone, Copy, Debug)]
pub struct Point {
    /// The median current of the first group and of the second, in A.
    pub middles: [f64; 2],
    /// How far the groups may be apart there by chance, in A: all differences of the programme lie within theirs with 95 %. None where so few cannot tell.
    pub within: Option<f64>,
    /// Whether they differ there; the chance of any false alarm along the programme is five in a hundred.
    pub differs: bool,
}

/// The curves of each programme that both groups have, by at most so many arrangements.
pub(super) fn curves(
    kept: &[Observed],
    placed: &[(usize, &[Placed])],
    exchanged: Exchanged,
    most: usize,
) -> Vec<Curves> {
    let programmes = distinct(placed.iter().map(|(programme, _)| *programme));
    let of = |programme: usize| {
        let own = kept.iter().zip(placed).filter(|(_, (p, _))| *p == programme);
        let own: Vec<(Observed, &[Placed])> = own.map(|(o, (_, places))| (*o, *places)).collect();
        let both = [0, 1].iter().all(|g| own.iter().any(|(o, _)| o.group == *g));
        let stretches = if both { along(&own, exchanged, most) } else { Vec::new() };
        (!stretches.is_empty()).then_some(Curves { programme, stretches })
    };
    programmes.into_iter().filter_map(of).collect()
}

fn along(own: &[(Observed, &[Placed])], exchanged: Exchanged, most: usize) -> Vec<Stretch> {
    let intervals = intervals(own);
    let whole: f64 = intervals.iter().map(|i| i.lasts.0).sum();
    let kept: Vec<Observed> = own.iter().map(|(o, _)| *o).collect();
    let (units, of) = units(&kept, exchanged);
    let scale = Scale::Measured(step(Measure::Current, &kept));
    let mut stretches: Vec<(Stretch, Vec<Column>)> = Vec::new();
    for stretch in intervals {
        let count = (ALONG.get() * stretch.lasts.0 / whole).round().max(1.0) as usize;
        let column = |at: usize| {
            let value = |(observed, places): &(Observed, &[Placed])| {
                let place = places.iter().find(|p| p.expected.name == stretch.name)?;
                let length = (place.end - place.start) / count as f64;
                let from = place.start + length * at as f64;
                drawn(observed.cycle, (from, from + length), observed.volts)
            };
            let values: Vec<Option<f64>> = own.iter().map(value).collect();
            Column { values: mean_of_units(&of, &values, units.len()), scale }
        };
        let columns = (0..count).map(column).collect();
        stretches.push((stretch, columns));
    }
    let all: Vec<Column> = stretches.iter().flat_map(|(_, columns)| columns.clone()).collect();
    let arrangements = Arrangements::of(&units, most);
    let tested = test(&units, &all, &arrangements, LEVEL.get());
    let tells = least_p(&units) <= LEVEL.get();
    let mut index = 0;
    let mut point = |column: &Column| {
        index += 1;
        let middle = |group: u8| {
            let own = units.iter().zip(&column.values).filter(|(u, _)| u.group == group);
            let own: Vec<f64> = own.filter_map(|(_, value)| *value).collect();
            if own.is_empty() { f64::NAN } else { median(&own) }
        };
        Point {
            middles: [0, 1].map(middle),
            within: band(&tested, index - 1).filter(|_| tells),
            differs: tested.of_any[index - 1] <= LEVEL.get(),
        }
    };
    let pointed = stretches.into_iter().map(|(stretch, columns)| Stretch {
        points: columns.iter().map(&mut point).filter(|p| p.middles.iter().all(|m| m.is_finite())).collect(),
        ..stretch
    });
    pointed.filter(|stretch| !stretch.points.is_empty()).collect()
}

/// What is found of an interval: when it begins in each cycle, how long it lasts, in seconds, and in how many cycles of each group.
struct Found {
    kind: Kind,
    starts: Vec<f64>,
    lasts: Vec<f64>,
    counts: [usize; 2],
}

/// The intervals that at least half of the cycles of either group have, in order of when they begin as a rule.
fn intervals(own: &[(Observed, &[Placed])]) -> Vec<Stretch> {
    let mut found: BTreeMap<&str, Found> = BTreeMap::new();
    for (observed, places) in own {
        for place in places.iter().filter(|p| !observed.cycle.cuts(p.start, p.end) && p.end > p.start) {
            let none =
                || Found { kind: place.expected.kind, starts: Vec::new(), lasts: Vec::new(), counts: [0; 2] };
            let known = found.entry(&place.expected.name).or_insert_with(none);
            known.starts.push((place.start - observed.cycle.start()).0);
            known.lasts.push((place.end - place.start).0);
            known.counts[usize::from(observed.group)] += 1;
        }
    }
    let cycles = [0, 1].map(|g| own.iter().filter(|(o, _)| o.group == g).count());
    let usual = |found: &Found| found.counts.iter().zip(cycles).all(|(count, all)| 2 * count >= all);
    let mut usual: Vec<(f64, Stretch)> = found
        .into_iter()
        .filter(|(_, found)| usual(found))
        .map(|(name, found)| {
            let (name, lasts) = (name.to_owned(), Seconds(median(&found.lasts)));
            (median(&found.starts), Stretch { name, kind: found.kind, lasts, points: Vec::new() })
        })
        .collect();
    usual.sort_by(|a, b| a.0.total_cmp(&b.0));
    usual.into_iter().map(|(_, stretch)| stretch).collect()
}

/// The mean current between two times, in A.
fn drawn(cycle: &Cycle, (from, to): (Seconds, Seconds), volts: Volts) -> Option<f64> {
    let (joules, time) = cycle.record.between(from, to).fold((0.0, 0.0), |(joules, time), step| {
        let lasts = step.duration().0;
        (joules + step.power.0 * lasts, time + lasts)
    });
    (time > 0.0).then(|| joules / time / volts.0)
}
