//! Examples: cycles that a programme can be learned from.

use super::cores::Core;
use crate::chart::numbers::MOST_INTERVALS;
use crate::intervals::{Cycle, Lacks, Seen};

/// A cycle that a programme is learned from.
#[derive(Clone)]
pub(super) struct Example<'a> {
    /// As an index of those given.
    pub(super) index: usize,
    pub(super) cycle: &'a Cycle,
    pub(super) cores: Vec<Core>,
}

/// Why a cycle cannot be an example, if it cannot.
pub(super) fn useless(cycle: &Cycle, cores: &[Core]) -> Option<&'static str> {
    if let Some(lacks) = cycle.lacks() {
        Some(match lacks {
            Lacks::Start | Lacks::End => "it is not whole",
            Lacks::Minutes => "minutes of it are missing",
        })
    } else if cycle.seen != Seen::Current {
        Some("its current was not seen")
    } else if cores.len() > MOST_INTERVALS / 4 {
        Some("it has more intervals than any programme")
    } else if cores.is_empty() {
        Some("none of its intervals lasts long enough to be seen")
    } else {
        None
    }
}
