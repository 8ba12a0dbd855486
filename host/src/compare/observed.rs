//! A cycle of one of two groups.

use tubtrace_units::Volts;

use crate::intervals::Cycle;

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
