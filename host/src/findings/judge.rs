//! The judgement of a cycle: the programme that it is of, what departs from it, and what may be behind that.

use std::cmp::{Ordering, Reverse};

use super::causes::Causes;
use super::finding::Finding;
use super::judged::{Judged, Known};
use super::{next, placed, ranking};
use crate::chart::Machine;
use crate::checks::{self, Context, Found, Grade, Surroundings};
use crate::intervals::Cycle;
use crate::programme::{Recognised, candidates, for_readings};

/// Holds a cycle against what its machine should do, with the causes that come with the program.
#[must_use]
pub fn judge(machine: &Machine, cycle: &Cycle, surroundings: Surroundings) -> Judged {
    judge_with(machine, cycle, surroundings, Causes::built_in())
}

/// Holds a cycle against the programme of its machine that it is of.
#[must_use]
pub fn judge_with(machine: &Machine, cycle: &Cycle, surroundings: Surroundings, causes: &Causes) -> Judged {
    let machine = &*for_readings(machine, cycle.resolution);
    let judged = |of: &Recognised, known| judge_as(machine, of, known, cycle, surroundings, causes);
    let candidates = candidates(machine, cycle);
    let best = &candidates[0];
    // Better to know nothing of a cycle than to call another programme a fault.
    let unknown = || {
        let like = candidates.iter().find(|c| c.is_like());
        like.map_or_else(|| judged(best, Known::Unknown), |like| judged(like, Known::Like))
    };
    if !best.is_known() {
        return unknown();
    }
    let frequent = judged(best, Known::Yes);
    if !frequent.departs() {
        return frequent;
    }
    // A departure has to be told from what is healthy: a rarer programme that the cycle is within, and one that nobody knows. Of which one a run
    // is that was not seen whole, its rest does not tell.
    let whole = cycle.lacks().is_none();
    let known = candidates[1..].iter().filter(|c| c.is_known() && !(whole && c.is_told_from(best)));
    let within = known.map(|c| judged(c, Known::Yes)).find(|j| !j.departs());
    within.unwrap_or_else(|| if best.is_sure() { frequent } else { unknown() })
}

/// Holds a cycle against the programme that it was recognised as.
#[must_use]
pub(crate) fn judge_as(
    machine: &Machine,
    recognised: &Recognised,
    known: Known,
    cycle: &Cycle,
    surroundings: Surroundings,
    causes: &Causes,
) -> Judged {
    let chart = &machine.programmes[recognised.programme];
    let context = Context::new(chart, cycle, &recognised.explanation, surroundings);
    let found = checks::judge(&context, known.needs());
    let differs = if known == Known::Like { differs(&context, &found) } else { Vec::new() };
    let (mut decided, mut near): (Vec<_>, Vec<_>) =
        found.into_iter().partition(|f: &Found| f.outside.is_decided());
    let unusual;
    (decided, unusual) = decided.into_iter().partition(|f| f.grade == Grade::Wrong);
    let mut unusual: Vec<Finding> = unusual.into_iter().map(|f| Finding::of(f, Some(causes))).collect();
    ranking::rank(&mut unusual, cycle, causes);
    next::advise(&mut unusual, causes);
    // Stable: of what is as grave, what a cause explains best comes first.
    unusual.sort_by_key(|f| Reverse(f.severity()));
    decided.sort_by(first_to_tell);
    near.sort_by(|a, b| a.outside.start.total_cmp(&b.outside.start));
    let placed = if known == Known::Yes { placed::placed(&context) } else { Vec::new() };
    let mut findings: Vec<Finding> = decided.into_iter().map(|f| Finding::of(f, Some(causes))).collect();
    let undecided = near.into_iter().map(|f| Finding::of(f, None)).collect();
    ranking::rank(&mut findings, cycle, causes);
    next::advise(&mut findings, causes);
    // Stable: a cause comes before all that follows from one.
    findings.sort_by_key(|f| f.follows.is_some());
    let explanation = recognised.explanation.clone();
    let (programme, seen, odds) = (chart.name.clone(), chart.seen, recognised.odds);
    Judged { programme, seen, known, odds, findings, undecided, unusual, differs, placed, explanation }
}

/// What would be found if the cycle were of the programme that it is like, beyond what is found as it is.
fn differs(context: &Context, anyway: &[Found]) -> Vec<Finding> {
    let all = checks::judge(context, Known::Yes.needs()).into_iter().filter(|f| f.outside.is_decided());
    let own =
        |f: &Found| !anyway.iter().any(|a| a.check.id == f.check.id && a.outside.start == f.outside.start);
    all.filter(own).map(|f| Finding::of(f, None)).collect()
}

/// By the rank of the checks, and by time.
fn first_to_tell(a: &Found, b: &Found) -> Ordering {
    let rank = |f: &Found| f.check.rank_while(f.outside.does);
    rank(a).cmp(&rank(b)).then(a.outside.start.total_cmp(&b.outside.start))
}
