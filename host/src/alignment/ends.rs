//! The ends of what was observed.

use crate::intervals::Cycle;

/// Whether an end of the observations is an end of the programme.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ends {
    /// The programme may have begun before the first phase.
    pub open_start: bool,
    /// The programme may have gone on after the last phase.
    pub open_end: bool,
    /// The first phase may have begun before what was observed, and was longer then.
    pub cut_start: bool,
    /// The last phase may have gone on after what was observed.
    pub cut_end: bool,
}

impl Ends {
    /// The ends of a cycle: open where the log begins or ends within it.
    #[must_use]
    pub fn of(cycle: &Cycle) -> Self {
        let (start, end) = (cycle.cut_at_start, cycle.cut_at_end);
        Self { open_start: start, open_end: end, cut_start: start, cut_end: end }
    }
}
