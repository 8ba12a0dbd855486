//! What is odd about a machine as it was learned, so that whoever gave its cycles for good ones looks at them again: what is learned with its
//! faults has them within ever after.

use tubtrace_units::{Amps, Load};

use super::constants::{HEATS_FOR, TWO_POWERS};
use crate::chart::{Chart, Machine};
use crate::intervals::{Cycle, Interval, Kind};

/// One thing that is odd.
#[derive(Clone, Debug, PartialEq)]
pub enum Odd {
    /// This programme has no heat.
    NeverHeats(String),
    /// A hold comes in some cycles of a programme only.
    MayHeat {
        /// The programme.
        programme: String,
        /// The name of the hold.
        hold: String,
    },
    /// Cycles differ in what the heater draws beside the pump.
    TwoPowers {
        /// What it draws in the weak ones, about.
        low: Amps,
        /// What it draws in the others, about.
        high: Amps,
        /// How many are weak.
        weak: usize,
        /// How many heat.
        cycles: usize,
    },
}

/// What is odd about a machine that was learned from these cycles.
#[must_use]
pub fn odd(machine: &Machine, used: &[&Cycle]) -> Vec<Odd> {
    let of_programmes = machine.programmes.iter().flat_map(of_programme);
    of_programmes.chain(two_powers(used)).collect()
}

fn of_programme(chart: &Chart) -> Vec<Odd> {
    let all = || chart.parts.iter().flat_map(|p| &p.intervals);
    if all().all(|i| i.kind != Kind::Heat) {
        return vec![Odd::NeverHeats(chart.name.clone())];
    }
    // A part that comes in some cycles only is a choice, and its hold with it.
    let must = chart.parts.iter().filter(|part| part.must_come()).flat_map(|p| &p.intervals);
    let cold = must.filter(|i| i.kind == Kind::Heat && i.may);
    cold.map(|i| Odd::MayHeat { programme: chart.name.clone(), hold: i.name.clone() }).collect()
}

/// Whether the heaters of the cycles, in order of what they draw, are apart somewhere by more than the mains varies.
fn two_powers(used: &[&Cycle]) -> Option<Odd> {
    let mut all: Vec<Amps> = used.iter().filter_map(|cycle| heater(cycle)).collect();
    all.sort_by(Amps::total_cmp);
    let apart = |n: &usize| all[*n] / all[*n - 1];
    let weak = (1..all.len()).max_by(|a, b| apart(a).total_cmp(&apart(b)))?;
    let middle = |of: &[Amps]| of[of.len() / 2];
    let (low, high) = (middle(&all[..weak]), middle(&all[weak..]));
    (apart(&weak) > TWO_POWERS.get()).then_some(Odd::TwoPowers { low, high, weak, cycles: all.len() })
}

/// What the longest heat of a cycle in water draws.
fn heater(cycle: &Cycle) -> Option<Amps> {
    let long = |i: &&_| is_heat(i) && i.duration() > HEATS_FOR.get();
    let longest = cycle.intervals.iter().filter(long).max_by(|a, b| a.duration().total_cmp(&b.duration()))?;
    Some(longest.measured.amps)
}

fn is_heat(interval: &Interval) -> bool {
    interval.kind == Kind::Heat && interval.loads.has(Load::Heater)
}
