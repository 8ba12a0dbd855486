//! What was found: something outside of its limits, with the check that found it.

use super::check::{Check, Grade};
use super::outside::Outside;

/// What a check found.
#[derive(Clone, Debug)]
pub struct Found {
    /// The check that is outside of its limits.
    pub check: &'static Check,
    /// What is outside of its limits.
    pub outside: Outside,
    /// Whether it is wrong, or unusual.
    pub grade: Grade,
    /// The check that found what this follows from, if it follows from anything.
    pub follows: Option<&'static Check>,
}

impl Found {
    /// Whether it is a finding of this kind: the word of a check, or of a check and what the machine does.
    pub(super) fn is(&self, kind: &str) -> bool {
        match kind.split_once(' ') {
            Some((id, does)) => self.check.id == id && self.outside.does.word() == does,
            None => self.check.id == kind,
        }
    }
}
