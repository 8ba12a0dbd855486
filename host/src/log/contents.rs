//! What is in a log.

use super::notes::Notes;
use crate::trace::Trace;

/// A log that was read.
#[derive(Clone, Debug)]
pub struct Log {
    /// What was recorded, as series over time.
    pub trace: Trace,
    /// What was wrong with it.
    pub notes: Notes,
}
