//! What groups are called.

use std::path::Path;

use crate::trace::Trace;

/// What the groups are called, and how the text is set.
#[derive(Clone, Copy, Debug)]
pub struct Called<'a> {
    /// The first group, the second, and on.
    pub names: &'a [&'a str],
    /// Their logs, by their numbers.
    pub logs: &'a [(&'a Path, &'a Trace)],
    /// What they were sorted by.
    pub machine: &'a str,
    /// Columns of the text.
    pub width: usize,
    /// Whether every question is listed.
    pub all: bool,
}
