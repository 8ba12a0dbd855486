//! What else is on the meter: a load of the house that comes on again and again beside the machine, as a refrigerator does.
//!
//! 1. The log is split into blocks in which something runs. One that has a single level, between nothing and nothing, is a visit (`blocks.rs`).
//! 2. Visits alike are a load of the house where that has the odds for it, over all of the log (`odds.rs`). A single one is none: it is the machine's.
//! 3. In the other blocks, which are the machine's, it comes and goes as the steps of the power and the times for which it was seen to last and to rest
//!    have it: the best path of a semi-Markov chain of two states (`beside.rs`; Ostendorf and others, IEEE Transactions on Speech and Audio Processing 4, 1996).
//! 4. What it draws is taken off the readings (`profile.rs`).
//!
//! A clip on the machine's own lead meters nothing else, so only readings of a meter of power are asked.

mod beside;
mod blocks;
mod lengths;
mod odds;
mod profile;

use std::fmt;

use tubtrace_units::{Seconds, Watts};

use self::blocks::{Block, blocks};
use self::odds::likeliest;
use self::profile::{Profile, at, take_off};
use super::initial;
use super::segment::steady_segments;
use crate::trace::{Meter, Trace};

/// So many such loads are looked for, at most, the one that comes most often first.
const LOADS: usize = 3;

/// From and to.
pub(super) type Stretch = (Seconds, Seconds);

/// A load of the house.
#[derive(Clone, Debug, PartialEq)]
pub struct House {
    /// What it draws.
    pub power: Watts,
    /// When it is on, in order of time.
    pub visits: Vec<Stretch>,
}

impl fmt::Display for House {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (power, times) = (self.power.0, self.visits.len());
        write!(
            f,
            "something else on this meter draws {power:.0} W, {times} times; it is no cycle, and what it draws beside the machine is taken off"
        )
    }
}

/// The loads of the house that a trace has beside its machine.
#[must_use]
pub fn house(trace: &Trace) -> Vec<House> {
    apart(trace).map_or_else(Vec::new, |(_, found)| found)
}

/// The trace of the machine alone, and what was beside it; none, where nothing was.
pub(super) fn apart(trace: &Trace) -> Option<(Trace, Vec<House>)> {
    if trace.meter != Meter::Power || trace.has_pickups() {
        return None;
    }
    let mut found = Vec::new();
    let mut alone = None;
    while found.len() < LOADS {
        let Some((rest, house)) = one(alone.as_ref().unwrap_or(trace)) else { break };
        alone = Some(rest);
        found.push(house);
    }
    alone.map(|alone| (alone, found))
}

/// One load of the house, and the trace without it.
fn one(trace: &Trace) -> Option<(Trace, House)> {
    let segments = steady_segments(trace);
    let nothing = initial::idle(&segments)?;
    let blocks = blocks(&segments, nothing, trace.duration());
    let own = likeliest(&blocks, trace.duration())?;
    let is_own = |block: &Block| own.iter().any(|v| v.start == block.start);
    let profiles: Vec<Profile> = own.iter().map(|v| Profile::of(trace, v.stretch(), nothing)).collect();
    let chain = beside::Chain::of(&own, &profiles, &blocks, nothing);
    let among = blocks.iter().filter(|block| !is_own(block));
    let beside: Vec<Stretch> = among.flat_map(|b| chain.visits(&segments, b, trace.duration())).collect();
    let mut alone = trace.clone();
    own.iter().for_each(|v| alone.steps.powers_mut()[at(trace, v.stretch())].fill(nothing.0));
    beside.iter().for_each(|v| take_off(&mut alone, *v, &profiles, chain.level, nothing));
    let mut visits: Vec<Stretch> = own.iter().map(Block::stretch).chain(beside).collect();
    visits.sort_by(|a, b| a.0.total_cmp(&b.0));
    Some((alone, House { power: chain.level, visits }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand;

    /// A reading a second of a meter of power.
    fn trace(readings: &[(u32, f64)]) -> Trace {
        Trace { meter: Meter::Power, ..by_hand::trace(readings) }
    }

    /// A cycle of a machine that draws 1 W when nothing runs.
    const CYCLE: [(u32, f64); 8] =
        [(60, 12.0), (600, 91.0), (900, 1_991.0), (60, 31.0), (20, 1.0), (60, 12.0), (600, 91.0), (60, 31.0)];

    /// A refrigerator of 60 W that starts with 300.
    const COOLS: [(u32, f64); 3] = [(1, 301.0), (1_199, 61.0), (1_500, 1.0)];

    fn fridge(times: usize) -> Vec<(u32, f64)> {
        [&[(1_500, 1.0)], &COOLS.repeat(times)[..]].concat()
    }

    #[test]
    fn what_comes_on_again_and_again_is_of_the_house_and_leaves_a_cycle_as_it_is() {
        let log = trace(&[fridge(6), CYCLE.into(), fridge(6)].concat());
        let (alone, found) = apart(&log).unwrap();
        assert_eq!((found.len(), found[0].visits.len(), found[0].power.0), (1, 12, 60.0));
        let readings = |trace: &Trace| trace.steps.iter().map(|s| s.power.0).collect::<Vec<_>>();
        let expected = trace(&[&[(17_700, 1.0)], &CYCLE[..], &[(17_700, 1.0)]].concat());
        assert_eq!(readings(&alone), readings(&expected));
    }

    #[test]
    fn what_runs_beside_the_machine_is_taken_off() {
        // It comes on 100 s into the second wash of the element's heat, and goes off 100 s before the end of the last wash.
        let both = [
            (60, 12.0),
            (600, 91.0),
            (900, 1_991.0),
            (60, 31.0),
            (20, 1.0),
            (30, 12.0),
            (1, 312.0),
            (29, 72.0),
            (500, 151.0),
            (100, 91.0),
            (60, 31.0),
        ];
        let log = trace(&[fridge(6), both.into(), fridge(6)].concat());
        let (alone, found) = apart(&log).unwrap();
        assert_eq!(found[0].visits.len(), 13);
        let most = |from: f64, to: f64| {
            alone.between(Seconds(from), Seconds(to)).map(|s| s.power.0).fold(0.0, f64::max)
        };
        let begins = 17_700.0 + 1_640.0;
        assert_eq!([most(begins, begins + 55.0), most(begins + 70.0, begins + 590.0)], [12.0, 91.0]);
    }

    #[test]
    fn a_machine_that_only_washes_is_no_refrigerator() {
        let rinse = [(1_200, 61.0), (40_000, 1.0)];
        for times in 1..4 {
            assert_eq!(house(&trace(&[&[(20_000, 1.0)], &rinse.repeat(times)[..]].concat())), []);
        }
        // Nor is one whose pump does not stop.
        assert_eq!(house(&trace(&[(20_000, 1.0), (40_000, 61.0), (9_000, 1.0)])), []);
    }

    #[test]
    fn a_machine_without_heat_has_more_than_one_level() {
        let cold = [(60, 12.0), (600, 91.0), (60, 31.0), (20, 1.0), (60, 12.0), (600, 91.0), (60, 31.0)];
        let often = [&cold[..], &[(1_500, 1.0)]].concat().repeat(20);
        assert_eq!(house(&trace(&[vec![(1_500, 1.0)], often].concat())), []);
    }
}
