//! How long the chart's intervals last.

use tubtrace_units::Seconds;

use super::check::{Check, Headline};
use super::context::{Context, hides_a_water};
use super::event::Event;
use super::outside::{Outside, both};
use super::uncertainty::{Conformity, decide, expanded, of_resolution};
use crate::alignment::{Phase, lasted};
use crate::chart::numbers::LONGEST;
use crate::intervals::{Interval, Kind};
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 2] = [&TOO_LONG, &TOO_SHORT];

/// Fills are told before what is merely late: water is the usual reason.
const FILLS_FIRST: Option<(Kind, u16)> = Some((Kind::Fill, 429));

/// An interval takes too long.
static TOO_LONG: Check = Check {
    id: "too-long",
    rank: 450,
    rank_in: FILLS_FIRST,
    hold: |context| {
        durations(context, &TOO_LONG, |found, seen| matches!(found, Conformity::Above(_)) && !seen.hole)
    },
    widen: |chart, outside| {
        let high = Seconds(outside.up(1));
        let lasts = outside.interval_of(chart).and_then(|i| i.lasts.as_mut()).filter(|_| high.0 <= LONGEST);
        lasts.map(|l| l.high = l.high.max(high)).is_some()
    },
    chosen: &[Kind::Wash, Kind::Heat, Kind::Dry, Kind::Pause],
    event: Event::Shortest,
    headline: Headline::Of("takes too long"),
    ..Check::PLAIN
};

/// An interval is too short. At an open end of the log it lasted for at least what was seen, and may have lasted longer.
static TOO_SHORT: Check = Check {
    id: "too-short",
    rank: 480,
    rank_in: FILLS_FIRST,
    hold: |context| {
        durations(context, &TOO_SHORT, |found, seen| matches!(found, Conformity::Below(_)) && !seen.cut)
    },
    widen: |chart, outside| {
        let low = Seconds(outside.down(1));
        let lasts = outside.interval_of(chart).and_then(|i| i.lasts.as_mut());
        lasts.map(|l| l.low = l.low.min(low)).is_some()
    },
    unusual_in_drying: true,
    chosen: &[Kind::Wash, Kind::Heat, Kind::Dry, Kind::Pause],
    of_whole_waters: true,
    event: Event::Shortest,
    headline: Headline::Of("too short"),
    ..Check::PLAIN
};

/// What is lost of an interval of the chart.
#[derive(Clone, Copy, Debug)]
struct Lost {
    /// Whether the log, a hole in it, or a programme that broke off cuts it.
    cut: bool,
    /// Whether readings are lost in it for so long that it may be two, or beside it, so that it may be another interval than it is taken for. A
    /// fill and a drain are what they are.
    hole: bool,
}

/// Intervals of the chart that last outside of its limits on this side; `side` also hears what is lost of them.
fn durations(context: &Context, check: &'static Check, side: fn(Conformity, Lost) -> bool) -> Vec<Outside> {
    let outside = context.matched().filter_map(|(place, expected, phases)| {
        let limits = expected.lasts?;
        if phases.iter().all(|a| a.kind != expected.kind) {
            return None;
        }
        let (whole, gaps) = lasted(expected.kind, phases);
        let lost = Lost {
            cut: context.cycle.cuts(phases[0].start, phases[phases.len() - 1].end)
                || context.broke_off().is_some_and(|last| phases.last() == Some(last)),
            hole: !matches!(expected.kind, Kind::Fill | Kind::Drain) && lost(context, phases),
        };
        let doubt = doubt(context, phases, gaps);
        let found = decide(whole.0, (Some(limits.low.0), Some(limits.high.0)), doubt.0);
        found.band().filter(|_| side(found, lost))?;
        let (measured, doubt) = (Quantity::Time(whole), Quantity::Time(doubt));
        let outside = check.outside(phases[0].start, measured, both(limits, Quantity::Time), doubt);
        Some(outside.at(context, place).sure(context.certainty(phases)))
    });
    outside.collect()
}

/// Whether so many readings are lost within or beside these phases that they may be two intervals, or part of another one.
fn lost(context: &Context, phases: &[Phase]) -> bool {
    let (start, end) = (phases[0].start, phases[phases.len() - 1].end);
    let beside = |i: &&Interval| i.end >= start && i.start <= end;
    context.cycle.intervals.iter().filter(beside).any(hides_a_water)
}

/// The expanded uncertainty of how long these phases lasted.
fn doubt(context: &Context, phases: &[Phase], gaps: Seconds) -> Seconds {
    // Start and end are each known to one reading at best.
    let least = of_resolution(context.surroundings.resolution.0);
    let edges =
        |phase: Option<&Phase>| phase.map_or(&[][..], |p| &context.cycle.intervals[p.intervals.clone()]);
    let start = edges(phases.first()).first().map_or(least, |i| i.measured.edges.start.0.max(least));
    let end = edges(phases.last()).last().map_or(least, |i| i.measured.edges.end.0.max(least));
    // What borders on a gap may have begun or ended in it; what has one inside may have stopped meanwhile.
    let gap =
        |phase: Option<&Phase>| phase.filter(|a| a.kind == Kind::Gap).map_or(Seconds(0.0), Phase::duration);
    let all = &context.explanation.phases;
    let first = all.iter().position(|a| a.start == phases[0].start).unwrap_or(0);
    let beside = gap(first.checked_sub(1).and_then(|i| all.get(i))) + gap(all.get(first + phases.len()));
    Seconds(expanded(&[start, end])) + gaps + beside
}
