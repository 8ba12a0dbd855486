//! All that is told of a test.

use super::super::units::Units;
use crate::bench::{Assessment, Plan, digest};

/// A test, and what it was made of.
#[derive(Clone, Copy, Debug)]
pub struct Bench<'a> {
    /// What was to be done.
    pub plan: &'a Plan,
    /// What it came to.
    pub assessment: &'a Assessment<'a>,
    /// What the machine is called.
    pub machine: &'a str,
    /// The plan, the machine file.
    pub files: [&'a Input; 2],
    /// The logs, in the order in which they ran.
    pub logs: &'a [Input],
    /// Units for people.
    pub units: Units,
    /// Columns that text is wrapped to.
    pub width: usize,
}

/// A file that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Input {
    /// Its name, without its folder.
    pub name: String,
    /// Its SHA-256.
    pub digest: String,
}

impl Bench<'_> {
    /// The SHA-256 of the list of logs: of a line for each with its digest, two spaces and its name, as `sha256sum LOGS` prints it.
    #[must_use]
    pub fn list(&self) -> String {
        let lines = self.logs.iter().map(|log| format!("{}  {}\n", log.digest, log.name));
        digest(lines.collect::<String>().as_bytes())
    }
}
