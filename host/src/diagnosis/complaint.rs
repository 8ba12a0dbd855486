//! Complaints: what was found in all cycles of a log, put together by what may be behind it.

use std::collections::BTreeMap;

use crate::findings::{Causes, Finding, Judged, Severity, WORTH_NAMING, score};
use crate::intervals::Cycle;

/// What was found that one cause may explain.
#[derive(Clone, Debug)]
pub struct Complaint<'a> {
    /// The findings, with the place of their cycle in the log, in order of cycles.
    pub findings: Vec<(usize, &'a Finding)>,
    /// How many cycles the log has.
    pub of_cycles: usize,
}

impl<'a> Complaint<'a> {
    /// The finding to name: of those that follow from no other the gravest; of several that are as grave the first that was told.
    #[must_use]
    pub fn foremost(&self) -> &'a Finding {
        let standing = self.findings.iter().filter(|(_, f)| f.follows.is_none());
        // The last of those that are as much is taken: here the first.
        let gravest = standing.rev().max_by_key(|(_, f)| f.severity());
        gravest.unwrap_or(&self.findings[0]).1
    }

    /// Takes what was found of another.
    pub(super) fn join(&mut self, other: Self) {
        self.findings.extend(other.findings);
        // Stable: what was told first of a cycle stays first.
        self.findings.sort_by_key(|(cycle, _)| *cycle);
    }

    /// How grave the gravest of it is.
    #[must_use]
    pub fn severity(&self) -> Severity {
        self.findings.iter().map(|(_, f)| f.severity()).max().unwrap_or(Severity::Slight)
    }

    /// The cycles that it was found in, by their place in the log.
    #[must_use]
    pub fn cycles(&self) -> Vec<usize> {
        let mut cycles: Vec<usize> = self.findings.iter().map(|(cycle, _)| *cycle).collect();
        cycles.dedup();
        cycles
    }

    /// The kinds of findings, each with the places of its cycles.
    pub(super) fn kinds(&self) -> BTreeMap<String, (&'a Finding, Vec<usize>)> {
        let mut kinds: BTreeMap<String, (&Finding, Vec<usize>)> = BTreeMap::new();
        for (cycle, finding) in &self.findings {
            kinds.entry(finding.kind()).or_insert_with(|| (finding, Vec::new())).1.push(*cycle);
        }
        kinds
    }
}

/// What was found, as few complaints as causes explain it: one takes what it explains well, and in the same cycle what it explains at all.
pub(super) fn complaints<'a>(cycles: &[Cycle], judged: &'a [Judged], causes: &Causes) -> Vec<Complaint<'a>> {
    let mut left: Vec<(usize, &Finding)> =
        judged.iter().enumerate().flat_map(|(i, j)| j.findings.iter().map(move |f| (i, f))).collect();
    let mut complaints = Vec::new();
    while !left.is_empty() {
        let kinds = count(&left);
        let scored = causes.all().iter().map(|c| (c, score(c, &kinds)));
        let best = scored.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, score)| *score > 0.0);
        // What nothing explains with all else beside it is a complaint of its own, with what is like it.
        let weight = |f: &Finding| match best {
            Some((cause, _)) => cause.explains(&f.kind()),
            None if f.kind() == left[0].1.kind() => f64::INFINITY,
            None => 0.0,
        };
        let well: Vec<usize> =
            left.iter().filter(|(_, f)| weight(f) >= WORTH_NAMING.get()).map(|(c, _)| *c).collect();
        let takes = |(cycle, f): &(usize, &Finding)| {
            let weight = weight(f);
            weight >= WORTH_NAMING.get() || (weight > 0.0 && (well.is_empty() || well.contains(cycle)))
        };
        let (findings, rest): (Vec<_>, Vec<_>) = left.iter().copied().partition(takes);
        complaints.push(Complaint { findings, of_cycles: cycles.len() });
        left = rest;
    }
    complaints
}

fn count(findings: &[(usize, &Finding)]) -> BTreeMap<String, u32> {
    let mut kinds = BTreeMap::new();
    for (_, finding) in findings {
        *kinds.entry(finding.kind()).or_insert(0) += 1;
    }
    kinds
}
