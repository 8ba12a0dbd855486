//! A cycle of one of several groups.

use tubtrace_units::Volts;

use crate::intervals::Cycle;

/// A cycle of a group.
#[derive(Clone, Copy, Debug)]
pub struct Observed<'a> {
    /// The cycle.
    pub cycle: &'a Cycle,
    /// 0 for the first group, 1 for the second, and on.
    pub group: u8,
    /// Its machine, as a number.
    pub machine: usize,
    /// Its log, as a number.
    pub log: usize,
    /// The nominal volts of its log.
    pub volts: Volts,
    /// When it began, in seconds since any beginning that is the same for all.
    pub began: f64,
}

#[cfg(test)]
impl<'a> Observed<'a> {
    /// Of the first group, machine and log.
    pub(super) fn plain(cycle: &'a Cycle) -> Self {
        Self { cycle, group: 0, machine: 0, log: 0, volts: Volts(120.0), began: 0.0 }
    }
}
