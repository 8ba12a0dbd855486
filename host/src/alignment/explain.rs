//! The explanation of a whole cycle: each hypothesis aligned with the chart, and the least improbable chosen.

use std::ops::Range;

use tubtrace_units::Amps;

use super::constants::{
    BEGIN_AGAIN, BREAK, BREAK_OFF, BREAK_OFF_AT_END, BREAK_OFF_IN_WATER, MOST_BREAKS, PART_OF_ELEMENT,
};
use super::ends::Ends;
use super::explanation::{Alignment, Explanation, Hypothesis};
use super::phases::{Phase, are_means, phases};
use super::table::alignments;
use super::weigh::weigh;
use crate::chart::Chart;
use crate::intervals::{Cycle, Kind};

/// Alignments of the best hypothesis that are weighed against each other.
const WEIGHED: usize = 6;

/// Explains a cycle by a chart, if need be as one that broke off and began again.
#[must_use]
pub fn explain(chart: &Chart, cycle: &Cycle) -> Explanation {
    let (heats, ends) = (least_heat(chart), Ends::of(cycle));
    let seen = phases(&cycle.intervals, cycle.resolution, heats);
    // Means show no pause among their phases, and join what it parts.
    let parted = if are_means(cycle.resolution) { parted(cycle, heats) } else { Vec::new() };
    let mut tried: Vec<(Alignment, &[Phase], Hypothesis)> = hypotheses(&seen, &parted, ends)
        .into_iter()
        .filter_map(|(phases, hypothesis)| {
            Some((align_as::<1>(chart, phases, ends, hypothesis).pop()?, phases, hypothesis))
        })
        .collect();
    tried.sort_by(|a, b| a.0.cost.total_cmp(&b.0.cost));
    let (phases, hypothesis) = tried.first().map_or((&seen[..], Hypothesis::Whole), |t| (t.1, t.2));
    // Of the best hypothesis also what is next best; of the others their best is enough. Where two cost the same, the best stays first: its steps
    // are of its own phases.
    let others = tried.iter().filter(|t| t.2 != hypothesis).map(|t| (t.0.clone(), t.2));
    let alike = align_as::<WEIGHED>(chart, phases, ends, hypothesis).into_iter();
    let mut tried: Vec<(Alignment, Hypothesis)> = alike.map(|a| (a, hypothesis)).chain(others).collect();
    tried.sort_by(|a, b| a.0.cost.total_cmp(&b.0.cost));
    weigh(chart, phases.to_vec(), tried)
}

/// The least that an element of this machine draws, by its chart.
pub(crate) fn least_heat(chart: &Chart) -> Amps {
    let holds = chart.parts.iter().flat_map(|p| &p.intervals).filter(|i| i.kind == Kind::Heat);
    let least = holds.filter_map(|i| i.amps).map(|a| a.low).min_by(Amps::total_cmp);
    least.map_or(Amps(0.0), |amps| amps * PART_OF_ELEMENT.get())
}

/// The hypotheses that are tried, each with its phases: whole, begun again, or broken off. Where pauses are seen, a programme begins again after
/// one of the longest.
fn hypotheses<'a>(
    seen: &'a [Phase],
    parted: &'a [(Vec<Phase>, usize)],
    ends: Ends,
) -> Vec<(&'a [Phase], Hypothesis)> {
    let breaks = |a: &Phase| matches!(a.kind, Kind::Pause | Kind::Gap) && a.duration() >= BREAK.get();
    let mut breaks: Vec<usize> = (0..seen.len()).filter(|&at| breaks(&seen[at])).collect();
    breaks.sort_by(|&a, &b| seen[b].duration().total_cmp(&seen[a].duration()));
    breaks.truncate(MOST_BREAKS.get());
    breaks.sort_unstable();
    let again = breaks.into_iter().map(|at| (seen, Hypothesis::BeganAgain(at)));
    let parted = parted.iter().map(|(phases, at)| (&phases[..], Hypothesis::BeganAgain(*at)));
    // Where the log ends before the programme does, nobody can say that it broke off.
    let off = (!ends.open_end).then_some((seen, Hypothesis::BrokeOff));
    std::iter::once((seen, Hypothesis::Whole)).chain(again).chain(parted).chain(off).collect()
}

/// A cycle in two, wherever one of its intervals begins: phases as means show them before and after, between them a pause that is none or too
/// short for means, and which phase that is.
fn parted(cycle: &Cycle, heats: Amps) -> Vec<(Vec<Phase>, usize)> {
    let all = &cycle.intervals;
    let told = |own: Range<usize>| {
        let range = |r: Range<usize>| r.start + own.start..r.end + own.start;
        let phases = phases(&all[own.clone()], cycle.resolution, heats).into_iter();
        phases.map(|a| Phase { intervals: range(a.intervals), ..a }).collect::<Vec<_>>()
    };
    let at = |n: usize| {
        let (start, pause) = (all[n].start, usize::from(all[n].kind == Kind::Pause));
        let end = if pause > 0 { all[n].end } else { start };
        let between = Phase { kind: Kind::Pause, intervals: n..n + pause, start, end };
        let before = told(0..n);
        let place = before.len();
        (before.into_iter().chain([between]).chain(told(n + pause..all.len())).collect(), place)
    };
    (1..all.len()).map(at).collect()
}

/// The `K` best alignments under a hypothesis, or fewer.
fn align_as<const K: usize>(
    chart: &Chart,
    phases: &[Phase],
    ends: Ends,
    hypothesis: Hypothesis,
) -> Vec<Alignment> {
    match hypothesis {
        Hypothesis::Whole => alignments::<K>(chart, phases, ends),
        Hypothesis::BrokeOff => {
            let open = alignments::<K>(chart, phases, Ends { open_end: true, ..ends });
            let cost = break_off(&phases[phases.len().saturating_sub(1)..]);
            open.into_iter().map(|a| Alignment { cost: a.cost + cost, ..a }).collect()
        }
        Hypothesis::BeganAgain(at) => {
            let before =
                alignments::<K>(chart, &phases[..at], Ends { open_end: true, cut_end: false, ..ends });
            let after = alignments::<K>(
                chart,
                &phases[at + 1..],
                Ends { open_start: false, cut_start: false, ..ends },
            );
            let both = |b: &Alignment, a: &Alignment| Alignment {
                steps: b
                    .steps
                    .iter()
                    .cloned()
                    .chain(a.steps.iter().cloned().map(|s| s.later(at + 1)))
                    .collect(),
                cost: b.cost + BEGIN_AGAIN.get() + a.cost,
            };
            let mut all: Vec<Alignment> =
                before.iter().flat_map(|b| after.iter().map(|a| both(b, a))).collect();
            all.sort_by(|a, b| a.cost.total_cmp(&b.cost));
            all.truncate(K);
            all
        }
    }
}

/// What it costs that a programme breaks off after its last phase. What breaks off does so in the middle of something: a cycle that drains
/// or dries last has ended, and one that has water in the tub has not.
pub(crate) fn break_off(last: &[Phase]) -> f64 {
    match last.last().map(|a| a.kind) {
        Some(Kind::Fill | Kind::Wash | Kind::Heat) => BREAK_OFF_IN_WATER.get(),
        Some(Kind::Drain | Kind::Dry) => BREAK_OFF.get() + BREAK_OFF_AT_END.get(),
        _ => BREAK_OFF.get(),
    }
}
