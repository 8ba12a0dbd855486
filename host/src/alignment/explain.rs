//! The explanation of a whole cycle: each hypothesis aligned with the chart, and the least improbable chosen.

use tubtrace_units::Amps;

use super::constants::{
    BEGIN_AGAIN, BREAK, BREAK_OFF, BREAK_OFF_AT_END, BREAK_OFF_IN_WATER, MOST_BREAKS, PART_OF_ELEMENT,
};
use super::ends::Ends;
use super::explanation::{Alignment, Explanation, Hypothesis};
use super::phases::{Phase, phases};
use super::table::alignments;
use super::weigh::weigh;
use crate::chart::Chart;
use crate::intervals::{Cycle, Kind};

/// Alignments of the best hypothesis that are weighed against each other.
const WEIGHED: usize = 6;

/// Explains a cycle by a chart, if need be as one that broke off and began again.
#[must_use]
pub fn explain(chart: &Chart, cycle: &Cycle) -> Explanation {
    let phases = phases(&cycle.intervals, cycle.resolution, least_heat(chart));
    let mut tried: Vec<(Alignment, Hypothesis)> = hypotheses(&phases, Ends::of(cycle))
        .into_iter()
        .filter_map(|hypothesis| {
            Some((align_as::<1>(chart, &phases, Ends::of(cycle), hypothesis).pop()?, hypothesis))
        })
        .collect();
    tried.sort_by(|a, b| a.0.cost.total_cmp(&b.0.cost));
    let hypothesis = tried.first().map_or(Hypothesis::Whole, |t| t.1);
    // Of the best hypothesis also what is next best; of the others their best is enough.
    tried.retain(|t| t.1 != hypothesis);
    let alike = align_as::<WEIGHED>(chart, &phases, Ends::of(cycle), hypothesis);
    tried.extend(alike.into_iter().map(|alignment| (alignment, hypothesis)));
    tried.sort_by(|a, b| a.0.cost.total_cmp(&b.0.cost));
    weigh(chart, phases, tried)
}

/// The least that an element of this machine draws, by its chart.
pub(crate) fn least_heat(chart: &Chart) -> Amps {
    let holds = chart.parts.iter().flat_map(|p| &p.intervals).filter(|i| i.kind == Kind::Heat);
    let least = holds.filter_map(|i| i.amps).map(|a| a.low).min_by(Amps::total_cmp);
    least.map_or(Amps(0.0), |amps| amps * PART_OF_ELEMENT.get())
}

/// The hypotheses that are tried: whole, begun again at one of the longest pauses, or broken off.
fn hypotheses(phases: &[Phase], ends: Ends) -> Vec<Hypothesis> {
    let breaks = |a: &Phase| matches!(a.kind, Kind::Pause | Kind::Gap) && a.duration() >= BREAK.get();
    let mut breaks: Vec<usize> = (0..phases.len()).filter(|&at| breaks(&phases[at])).collect();
    breaks.sort_by(|&a, &b| phases[b].duration().total_cmp(&phases[a].duration()));
    breaks.truncate(MOST_BREAKS.get());
    breaks.sort_unstable();
    let again = breaks.into_iter().map(Hypothesis::BeganAgain);
    // Where the log ends before the programme does, nobody can say that it broke off.
    let off = (!ends.open_end).then_some(Hypothesis::BrokeOff);
    std::iter::once(Hypothesis::Whole).chain(again).chain(off).collect()
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
