//! When the intervals of a run really begin and end, and how well that is known: the model gives whole readings to one or the other.

use tubtrace_units::{Load, Loads, Seconds, Watts};

use super::constants::{AVERAGED_BELOW, AVERAGED_FROM};
use super::edge::edge;
use super::interval::Edges;
use super::kind::Kind;
use super::moment::{Change, Moment, moments, starts};
use super::rest::apart;
use crate::loads::Posterior;
use crate::trace::Trace;

/// Readings beyond either end of a run that say what is drawn when nothing runs.
const BEYOND: f64 = 20.0;

/// An interval before it is measured.
#[derive(Clone, Copy)]
pub(super) struct Named {
    pub kind: Kind,
    pub loads: Loads,
    pub start: Seconds,
    pub end: Seconds,
    pub certainty: f64,
    pub states: Posterior,
    pub edges: Edges,
}

/// Moves the ends of each to where the readings beside them say that they are.
pub(super) fn place(named: &mut [Named], trace: &Trace) {
    // A control that is awake may draw more than one that sleeps between runs: the least within the run counts.
    let within = trace.between(named[0].start, named[named.len() - 1].end);
    let standby = within.map(|step| step.power).min_by(Watts::total_cmp).unwrap_or_default();
    let model: Vec<Named> = named.to_vec();
    for i in 0..=model.len() {
        let (before, after) = (i.checked_sub(1).map(|b| &model[b]), model.get(i));
        let (off, on) = between(before, after, standby, trace);
        if let Some(before) = i.checked_sub(1) {
            (named[before].end, named[before].edges.end) = (off.at, off.doubt);
        }
        if let Some(after) = named.get_mut(i) {
            (after.start, after.edges.start) = (on.at, on.doubt);
        }
    }
}

/// When the first ends and when the second begins, of which none are before and behind the run.
fn between(before: Option<&Named>, after: Option<&Named>, standby: Watts, trace: &Trace) -> (Moment, Moment) {
    let at = after.map(|n| n.start).or(before.map(|n| n.end)).unwrap_or_default();
    let ends = before.map_or(at, |n| n.end);
    let gap = |n: Option<&Named>| n.is_some_and(|n| n.kind == Kind::Gap);
    let averaged = (AVERAGED_FROM.get()..AVERAGED_BELOW.get()).contains(&trace.resolution);
    let change = if averaged && !gap(before) && !gap(after) {
        let loads = |n: Option<&Named>| n.map_or(Loads::NONE, |n| n.loads);
        let (off, on) = (loads(before), loads(after));
        let goes_on = Load::ALL.iter().any(|load| off.has(*load) && on.has(*load));
        let beyond = trace.resolution * BEYOND;
        let change = Change {
            from: before.map_or(at - beyond, |n| n.start),
            at,
            to: after.map_or(at + beyond, |n| n.end),
            rests: !off.is_empty() && !on.is_empty() && !goes_on,
            starts: starts(off, on),
        };
        moments(&change, standby, trace)
    } else {
        None
    };
    change.unwrap_or_else(|| {
        let runs = |n: &&Named| !matches!(n.kind, Kind::Gap | Kind::Pause);
        let (off, on) = match (before.filter(runs), after.filter(runs)) {
            (Some(before), Some(after)) => apart((before.start, after.start, after.end), standby, trace),
            _ => (ends, at),
        };
        let moment = |at: Seconds| Moment { at, doubt: edge(at, trace) };
        (moment(off), moment(on))
    })
}
