//! Cycles against the truth: which were found, which depart, and whether the cause that is named first is the one.

use std::collections::BTreeMap;

use tubtrace::findings::Judged;
use tubtrace_simulator::machine::Fault;

use super::paired;
use crate::{Worked, causes_of};

/// Of one kind of fault: runs, found to depart, right cause first, among the first three.
pub type Tally = (u64, u64, u64, u64);

/// Cycles and findings, counted over nights.
#[derive(Clone, Debug, Default)]
pub struct Cycles {
    /// Runs without a fault, and those of them that were said to depart.
    pub healthy: (u64, u64),
    /// Runs of each fault.
    pub faults: BTreeMap<Fault, Tally>,
    /// Nights in which not as many cycles were found as there were runs.
    pub miscounted: u64,
    /// How many nights were worked.
    pub nights: u64,
    /// Healthy cycles that were left out of a chart.
    pub left_out: u64,
}

impl Cycles {
    /// Of a night whose cycles were judged; `tell` hears of each run that was judged wrongly.
    #[must_use]
    pub fn of(night: &Worked, judged: &[Judged], mut tell: impl FnMut(String)) -> Self {
        let mut score = Self { nights: 1, ..Self::default() };
        let runs = paired(night, judged);
        if night.cycles.len() != runs.len() {
            score.miscounted = 1;
            tell(format!("{} cycles for {} runs", night.cycles.len(), runs.len()));
        }
        for (truth, judged) in runs {
            let findings: Vec<_> = judged.iter().flat_map(|j| &j.findings).collect();
            let named: Vec<&str> =
                findings.iter().filter_map(|f| f.advice.suspects.first()).map(|s| s.word.as_str()).collect();
            let told = || {
                let all =
                    findings.iter().map(|f| format!("{} in {} ({})", f.departure, f.interval, f.measured));
                all.collect::<Vec<_>>().join("; ")
            };
            match truth.trouble {
                None => {
                    score.healthy.0 += 1;
                    if !findings.is_empty() {
                        score.healthy.1 += 1;
                        tell(format!("healthy, at {:.0} s: {}", truth.start.0, told()));
                    }
                }
                Some(trouble) => {
                    let right = causes_of(trouble.fault);
                    let first = named.first().is_some_and(|n| right.contains(n));
                    let among: Vec<&str> = findings
                        .iter()
                        .flat_map(|f| &f.advice.suspects)
                        .map(|s| s.word.as_str())
                        .take(3)
                        .collect();
                    let three = first || among.iter().any(|n| right.contains(n));
                    let tally = score.faults.entry(trouble.fault).or_default();
                    tally.0 += 1;
                    tally.1 += u64::from(!findings.is_empty());
                    tally.2 += u64::from(first);
                    tally.3 += u64::from(three);
                    if !first {
                        tell(format!(
                            "{:?} {:.2}, at {:.0} s: {}",
                            trouble.fault,
                            trouble.severity,
                            truth.start.0,
                            told()
                        ));
                    }
                }
            }
        }
        score
    }

    /// Adds the counts of another.
    pub fn add(&mut self, other: &Self) {
        self.healthy = (self.healthy.0 + other.healthy.0, self.healthy.1 + other.healthy.1);
        for (fault, (a, b, c, d)) in &other.faults {
            let tally = self.faults.entry(*fault).or_default();
            *tally = (tally.0 + a, tally.1 + b, tally.2 + c, tally.3 + d);
        }
        self.miscounted += other.miscounted;
        self.nights += other.nights;
        self.left_out += other.left_out;
    }

    /// The tally over all faults together.
    #[must_use]
    pub fn all(&self) -> Tally {
        self.faults.values().fold((0, 0, 0, 0), |x, t| (x.0 + t.0, x.1 + t.1, x.2 + t.2, x.3 + t.3))
    }
}
