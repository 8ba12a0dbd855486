//! One log on the page.

use super::super::subject::Subject;
use super::super::wording::capitalised;
use super::picture::Scene;
use crate::diagnosis::Diagnosis;
use crate::findings::{Causes, Judged};
use crate::sheet::Options;

/// Cycles of a log of many that have a picture and a table: those that depart, and those that do not.
const DEPARTING: usize = 9;
const TYPICAL: usize = 3;

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
    /// The options of the sheet behind the panel that explain each; empty where there is no such sheet.
    pub options: &'a [Option<Options>],
    /// Whether each cycle has its picture and its table, and not only those that depart and a few typical ones of many.
    pub all: bool,
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

    /// Which cycles have a picture and a table: all of few; of many those that depart, spread over all of them, and a few that do not.
    pub(super) fn shown(&self) -> Vec<usize> {
        let count = self.subject.cycles.len();
        if self.all || count <= DEPARTING + TYPICAL {
            return (0..count).collect();
        }
        let departs = |i: &usize| self.verdicts().get(*i).is_some_and(Judged::departs);
        let (departing, typical): (Vec<usize>, Vec<usize>) = (0..count).partition(departs);
        let spread = |all: &[usize], most: usize| -> Vec<usize> {
            let kept = all.len().min(most);
            (0..kept).map(|i| all[i * all.len() / kept]).collect()
        };
        let mut shown = [spread(&departing, DEPARTING), spread(&typical, TYPICAL)].concat();
        shown.sort_unstable();
        shown
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
