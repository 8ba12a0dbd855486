//! Cycles that look faulty by what can be said without a chart, before a machine is learned from them: what is learned with its faults has them
//! within ever after.

use std::collections::BTreeMap;

use super::among;
use crate::findings::{Causes, Finding, Severity, Surroundings};
use crate::intervals::Cycle;
use crate::trace::Trace;

/// What looks faulty in the cycles of one machine.
#[derive(Clone, Debug)]
pub struct Faulty {
    /// What more than a third of the cycles have, with how many of them do. That is no fault that comes now and then, but what this machine does,
    /// or how it is read: a guess, between one bad cycle of three and a habit.
    pub usual: Vec<(Finding, usize)>,
    /// For each log, for each of its cycles: what looks faulty in it and is not usual, if anything does.
    pub odd: Vec<Vec<Option<Finding>>>,
    /// How many cycles there are.
    pub cycles: usize,
}

/// Looks for what departs gravely in the cycles of these logs, each log by itself.
#[must_use]
pub fn faulty(logs: &[&Trace], cycles: &[Vec<Cycle>]) -> Faulty {
    let found: Vec<Vec<Vec<Finding>>> = logs.iter().zip(cycles).map(|(log, own)| grave(log, own)).collect();
    let mut having: BTreeMap<&str, (Finding, usize)> = BTreeMap::new();
    for own in found.iter().flatten() {
        let first = |n: usize| own[..n].iter().all(|f| f.departure != own[n].departure);
        for finding in (0..own.len()).filter(|&n| first(n)).map(|n| &own[n]) {
            having.entry(finding.departure.word()).or_insert_with(|| (finding.clone(), 0)).1 += 1;
        }
    }
    let all = cycles.iter().map(Vec::len).sum();
    having.retain(|_, (_, count)| *count * 3 > all);
    let odd = |own: &Vec<Finding>| own.iter().find(|f| !having.contains_key(f.departure.word())).cloned();
    let odd = found.iter().map(|log| log.iter().map(odd).collect()).collect();
    Faulty { usual: having.into_values().collect(), odd, cycles: all }
}

/// What departs gravely in each cycle of a log.
fn grave(log: &Trace, cycles: &[Cycle]) -> Vec<Vec<Finding>> {
    let judged = among(cycles, log.resolution, Surroundings::of(log, cycles), Causes::built_in());
    let grave = |f: &Finding| f.severity() >= Severity::Grave;
    judged.into_iter().map(|j| j.findings.into_iter().filter(grave).collect()).collect()
}
