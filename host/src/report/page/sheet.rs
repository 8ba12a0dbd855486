//! One log on the page.

use super::super::Subject;
use super::picture::Scene;
use crate::findings::Judged;

/// A log, and what its cycles come to if they were held against something.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// The log and its cycles.
    pub subject: Subject<'a>,
    /// What they were held against.
    pub chart: Option<&'a str>,
    /// What each comes to, in order; empty where there was nothing to hold them against.
    pub judged: &'a [Judged],
    /// What this log is called where there are two: "before".
    pub role: &'a str,
}

impl<'a> Sheet<'a> {
    /// How a cycle is called in links.
    pub(super) fn id(&self, cycle: usize) -> String {
        let dash = if self.role.is_empty() { "" } else { "-" };
        format!("{}{dash}{}", self.role, cycle + 1)
    }

    /// How many cycles depart.
    pub(super) fn departing(&self) -> usize {
        self.judged.iter().filter(|j| !j.findings.is_empty()).count()
    }

    /// A cycle, to be drawn with so many points to a curve.
    pub(super) fn scene(&self, cycle: usize, id: &'a str, title: &'a str, most: usize) -> Scene<'a> {
        let judged = self.judged.get(cycle);
        Scene { subject: self.subject, cycle: &self.subject.cycles[cycle], judged, id, title, most }
    }
}
