//! One log on the page.

use super::super::subject::Subject;
use super::super::wording::capitalised;
use super::picture::Scene;
use crate::diagnosis::Diagnosis;
use crate::findings::{Causes, Judged};

/// A log, and what its cycles come to if they were held against something.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// The log and its cycles.
    pub subject: Subject<'a>,
    /// What they were held against.
    pub chart: Option<&'a str>,
    /// What each comes to, in order; empty where there was nothing to hold them against. Without a chart they only say which interval
    /// is which.
    pub judged: &'a [Judged],
    /// What is the matter by all cycles together.
    pub diagnoses: &'a [Diagnosis<'a>],
    /// What may be behind departures.
    pub causes: &'a Causes,
    /// What this log is called where there are two: "before".
    pub role: &'a str,
}

impl<'a> Sheet<'a> {
    /// How a cycle is called in links.
    pub(super) fn id(&self, cycle: usize) -> String {
        let dash = if self.role.is_empty() { "" } else { "-" };
        format!("{}{dash}{}", self.role, cycle + 1)
    }

    /// A heading, behind the role of the log if it has one.
    pub(super) fn titled(&self, what: &str) -> String {
        capitalised(&if self.role.is_empty() { what.to_owned() } else { format!("{}: {what}", self.role) })
    }

    /// What each cycle comes to, where that is a verdict.
    pub(super) fn verdicts(&self) -> &'a [Judged] {
        if self.chart.is_some() { self.judged } else { &[] }
    }

    /// How many cycles depart.
    pub(super) fn departing(&self) -> usize {
        self.verdicts().iter().filter(|j| j.departs()).count()
    }

    /// A cycle, to be drawn with so many points to a curve.
    pub(super) fn scene(&self, cycle: usize, id: &'a str, title: &'a str, most: usize) -> Scene<'a> {
        let judged = self.judged.get(cycle);
        Scene {
            subject: self.subject,
            intervals: &self.subject.cycles[cycle].intervals,
            judged,
            id,
            picture: id,
            title,
            most,
        }
    }
}
