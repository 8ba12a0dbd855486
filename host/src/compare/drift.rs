//! What drifts within a group, in the order of time.

use std::collections::BTreeMap;

use super::asked::Measured;
use super::constants::LEVEL;
use super::measures::Question;
use super::observed::Observed;
use super::statistics::{drifts, holm, slope};
use super::units::{Exchanged, distinct, night};
use crate::parallel;

/// Of fewer values even a perfect order comes by chance in more than five of a hundred: of four in 2 of 24, of five in 2 of 120.
const ORDERED_FROM: usize = 5;

/// A question whose answers drift within a group.
#[derive(Clone, Debug)]
pub struct Drift {
    /// The group.
    pub group: u8,
    /// The machine, as a number; a group may have several, each of which is asked by itself.
    pub machine: usize,
    /// What drifts.
    pub question: Question,
    /// By how much from the first to the last: so many times the median slope.
    pub by: f64,
    /// Over how many nights, or cycles.
    pub over: usize,
    /// The probability that chance puts any question of any group in as much order.
    pub of_any: f64,
}

/// What drifts within each group and machine. A night counts once, with the mean of its cycles, unless cycles are taken one by one: then they are as if
/// nothing else tied them to each other.
pub(super) fn drift(
    kept: &[Observed],
    (order, cycles): (&[Question], &[Measured]),
    exchanged: Exchanged,
) -> Vec<Drift> {
    let by_cycle = exchanged == Exchanged::Cycles;
    let mut asked: Vec<(u8, usize, &Question)> = Vec::new();
    for (group, machine) in distinct(kept.iter().map(|o| (o.group, o.machine))) {
        asked.extend(order.iter().map(|question| (group, machine, question)));
    }
    let values = |&(group, machine, question): &(u8, usize, &Question)| -> Vec<f64> {
        let mut of: BTreeMap<(usize, u32, usize), (f64, Vec<f64>)> = BTreeMap::new();
        for (at, (observed, cycle)) in kept.iter().zip(cycles).enumerate() {
            let own = observed.group == group && observed.machine == machine;
            if let Some(value) = cycle.value(question).filter(|_| own) {
                let (log, day) = night(observed);
                let unit = of.entry((log, day, if by_cycle { at } else { 0 })).or_default();
                unit.0 = if unit.1.is_empty() { observed.began } else { unit.0.min(observed.began) };
                unit.1.push(value);
            }
        }
        let mut of: Vec<(f64, f64)> =
            of.into_values().map(|(at, own)| (at, own.iter().sum::<f64>() / own.len() as f64)).collect();
        of.sort_by(|a, b| a.0.total_cmp(&b.0));
        of.into_iter().map(|(_, value)| value).collect()
    };
    let found = parallel::map(&asked, |asked| Some(values(asked)).filter(|v| v.len() >= ORDERED_FROM));
    let found: Vec<_> = asked.into_iter().zip(found).filter_map(|(asked, v)| Some((asked, v?))).collect();
    let p = holm(&parallel::map(&found, |(_, values)| drifts(values)));
    let told = found.into_iter().zip(p).filter(|(_, p)| *p <= LEVEL.get());
    told.filter_map(|(((group, machine, question), values), of_any)| {
        let by = slope(&values)? * (values.len() - 1) as f64;
        Some(Drift { group, machine, question: question.clone(), by, over: values.len(), of_any })
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::super::examples::{cycle, measures};
    use super::*;

    /// So many nights of one cycle each, in any order, whose drain lasts as `lasts` says of the night.
    fn found(nights: usize, lasts: impl Fn(usize) -> f64) -> Vec<Drift> {
        let cycle = cycle();
        let one = |i: usize| {
            // Every third night first, as files may be given.
            let night = i * 3 % nights;
            (night, Observed { log: night, began: night as f64, ..Observed::plain(&cycle) })
        };
        let all: Vec<(usize, Observed)> = (0..nights).map(one).collect();
        let (order, measured) = measures(all.iter().map(|(night, _)| lasts(*night)));
        let kept: Vec<Observed> = all.into_iter().map(|(_, o)| o).collect();
        drift(&kept, (&order, &measured), Exchanged::Nights)
    }

    #[test]
    fn what_grows_from_night_to_night_is_told_with_how_much() {
        let drifts = found(10, |night| 60.0 + 0.5 * night as f64);
        assert_eq!(drifts.len(), 1);
        assert!((drifts[0].by - 4.5).abs() < 1e-9 && drifts[0].over == 10, "{drifts:?}");
        // 2 of all orders of ten.
        assert!((drifts[0].of_any - 2.0 / 3_628_800.0).abs() < 1e-12);
    }

    #[test]
    fn what_wanders_and_four_nights_do_not_drift() {
        assert!(found(10, |night| 60.0 + (night * 7 % 10) as f64).is_empty());
        assert!(found(4, |night| 60.0 + night as f64).is_empty());
    }
}
