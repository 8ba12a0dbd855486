//! What is learned: a machine and how it came about, or why there is none.

use crate::chart::Machine;

/// Why no chart was made.
#[derive(Debug, thiserror::Error, PartialEq, Eq)]
pub enum LearnError {
    /// No cycle can be used.
    #[error(
        "no complete cycle in these logs: a chart needs at least one that neither begins before nor ends after its log"
    )]
    NoCycle,
}

/// A machine and how it came about.
#[derive(Clone, Debug)]
pub struct Learned {
    /// What is known of it.
    pub machine: Machine,
    /// Cycles that it was made from, as indices of those given.
    pub used: Vec<usize>,
    /// Cycles that were left out, and why.
    pub left_out: Vec<(usize, String)>,
    /// Single examples that were unlike all the others, and whether the limits leave them out: a sentence for each.
    pub unlike: Vec<String>,
    /// The cycles that those are of which the limits leave out, likewise as indices.
    pub odd: Vec<usize>,
}
