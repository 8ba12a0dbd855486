//! What the fault that was repaired asks for: how many clean runs show that it is gone.

use super::plan::Plan;
use super::run::{Counts, Run};
use super::statistics::{Answer, Sequential, clean_runs};
use crate::compare::NotSeen;

/// Beyond so many runs nobody waits.
const PATIENCE: usize = 100_000;

/// What the fault that was repaired asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// Clean runs that show that it is gone, with how well its rate is known; none where no number would.
    pub needed: Option<usize>,
    /// Clean runs that would do if its rate were known to be what was seen.
    pub if_known: Option<usize>,
    /// The probability of so many clean runs if nothing had changed.
    pub by_chance: f64,
    /// Runs, by their index, in which it came again.
    pub again: Vec<usize>,
    /// After how many runs Wald's test was clear, and how; none where it is not asked or not clear.
    pub clear: Option<(usize, Answer)>,
}

/// What the original fault asks for.
pub(super) fn fault(plan: &Plan, runs: &[Run], clean: usize) -> Option<Shown> {
    let original = plan.fault.as_ref()?;
    let chance = |after| NotSeen { found: original.found, before: original.before, after }.by_chance();
    let enough = |after: &usize| chance(*after) <= 1.0 - plan.confidence;
    // The chance falls with every run.
    let needed = enough(&PATIENCE).then(|| {
        let (mut low, mut high) = (0, PATIENCE);
        while high - low > 1 {
            let middle = usize::midpoint(low, high);
            if enough(&middle) { high = middle } else { low = middle }
        }
        high
    });
    let again = |run: &Run| run.found.judged.findings.iter().any(|f| f.kind() == original.kind);
    let rate = original.found as f64 / original.before as f64;
    let test = plan.good_one_in.map(|n| Sequential {
        good: 1.0 / f64::from(n),
        bad: rate,
        refused: 1.0 - plan.confidence,
        passed: 1.0 - plan.confidence,
    });
    Some(Shown {
        needed,
        if_known: clean_runs(rate, plan.confidence),
        by_chance: chance(clean),
        again: (0..runs.len()).filter(|&i| again(&runs[i])).collect(),
        clear: test.filter(|t| t.good < t.bad && t.bad < 1.0).and_then(|test| clear(test, runs)),
    })
}

/// After how many runs, of those that count, Wald's test was clear.
fn clear(test: Sequential, runs: &[Run]) -> Option<(usize, Answer)> {
    let (mut all, mut failed) = (0, 0);
    for run in runs.iter().filter(|r| matches!(r.counts, Counts::Clean | Counts::Departs)) {
        all += 1;
        failed += usize::from(run.counts == Counts::Departs);
        match test.after(failed, all) {
            Answer::GoOn => {}
            answer => return Some((all, answer)),
        }
    }
    None
}
