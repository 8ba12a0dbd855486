//! Whether what comes on again and again is of the house: the odds against a machine of which but one load runs.

use tubtrace_units::{Seconds, Watts};

use super::blocks::Block;
use crate::loads::constants::house::{
    ALONE_FOR, ALONE_FOR_ANY, BELIEVED, COMES_ON, FAN_MOST, FAN_WITHIN, HOUSE_LENGTHS, LEVELS_WITHIN,
    MACHINE_WORKS, STARTED, VISITS,
};
use crate::loads::constants::learning::HEATER_AT_LEAST;
use crate::stats::median;

const DAY: f64 = 86_400.0;

/// The visits of the load of the house that comes most often, in order of time, if it is believed.
pub(super) fn likeliest(blocks: &[Block], log_lasts: Seconds) -> Option<Vec<Block>> {
    let mut visits: Vec<(Watts, Block)> = blocks.iter().filter_map(|b| Some((b.level?, *b))).collect();
    visits.sort_by(|a, b| a.0.total_cmp(&b.0));
    let alike = |first: usize| {
        let end = visits.partition_point(|(level, _)| *level <= visits[first].0 * LEVELS_WITHIN.get());
        &visits[first..end.max(first + 1)]
    };
    let groups = (0..visits.len()).map(alike).filter(|g| g[0].0.0 < HEATER_AT_LEAST.get());
    let counted = groups.map(|group| (group, Counted::of(group, blocks, log_lasts)));
    let (group, counted) = counted.max_by_key(|(_, counted)| counted.lengths.len())?;
    if counted.lengths.len() < VISITS.get() || counted.ln_odds() < BELIEVED.get().ln() {
        return None;
    }
    let mut own: Vec<Block> = group.iter().map(|(_, block)| *block).collect();
    own.sort_by(|a, b| a.start.total_cmp(&b.start));
    Some(own)
}

/// The visits that say something: they are longer than a drain, and no fan that dries, which comes on behind a cycle alone.
struct Counted {
    lengths: Vec<f64>,
    /// The time in which they might have come, seconds.
    time: f64,
    machine_works: bool,
}

impl Counted {
    fn of(group: &[(Watts, Block)], blocks: &[Block], log_lasts: Seconds) -> Self {
        // Before the log the machine may have run.
        let after = if group[0].0 < FAN_MOST.get() { FAN_WITHIN.get() } else { Seconds(0.0) };
        let machine = || blocks.iter().filter(|b| b.level.is_none() && b.is_long());
        let (mut free, mut from) = (Vec::new(), after);
        for block in machine() {
            free.push((from, block.start));
            from = from.max(block.end + after);
        }
        free.push((from, log_lasts));
        free.retain(|(from, to)| from < to);
        let is_free = |b: &&Block| free.iter().any(|(from, to)| b.start >= *from && b.start < *to);
        let said = group.iter().map(|(_, block)| block).filter(|b| b.is_long()).filter(is_free);
        Self {
            lengths: said.map(|b| b.lasts().0).collect(),
            time: free.iter().map(|(from, to)| (*to - *from).0).sum(),
            machine_works: machine().any(|b| b.heats),
        }
    }

    /// Logarithm of the odds that they are of the house. How many there are counts each; how long they last counts once, for what a machine does it does
    /// again.
    fn ln_odds(&self) -> f64 {
        let count = self.lengths.len() as f64;
        let usual = STARTED.get() * self.time / DAY;
        let p = 2.0 / (2.0 + usual);
        let by_machine = (count + 1.0).ln() + 2.0 * p.ln() + count * (1.0 - p).ln();
        let by_house = -(count * COMES_ON.get().ln()).ln();
        let lasts = median(&self.lengths);
        let any = 1.0 / (lasts * HOUSE_LENGTHS.get().ln());
        let alone = (-lasts / ALONE_FOR.get()).exp() / ALONE_FOR.get();
        let by_length = (any / (ALONE_FOR_ANY.get() * any + (1.0 - ALONE_FOR_ANY.get()) * alone)).ln();
        let works = if self.machine_works { MACHINE_WORKS.get().ln() } else { 0.0 };
        by_house - by_machine + by_length + works
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn odds(count: usize, lasts: f64, hours: f64, machine_works: bool) -> f64 {
        Counted { lengths: vec![lasts; count], time: hours * 3_600.0, machine_works }.ln_odds().exp()
    }

    /// By hand: in a day two are usual, so p is 1/2, and twelve come with 13 / 2^14; what else comes has 1 / (12 ln 100). An hour is 3.5 times as probable for it.
    #[test]
    fn the_odds_are_those_of_the_numbers_and_of_the_length() {
        let any = 1.0 / (3_600.0 * 180_f64.ln());
        let alone = 0.05 * any + 0.95 * (-3.0_f64).exp() / 1_200.0;
        let expected = (1.0 / (12.0 * 100_f64.ln())) / (13.0 / 16_384.0) * any / alone;
        assert!((odds(12, 3_600.0, 24.0, false) / expected - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_few_short_washes_are_the_machines_and_a_refrigerator_of_a_day_is_not() {
        assert!(odds(4, 1_200.0, 24.0, false) < 1.0);
        assert!(odds(20, 900.0, 24.0, false) > BELIEVED.get());
        assert!(odds(10, 2_900.0, 20.0, true) > BELIEVED.get());
    }
}
