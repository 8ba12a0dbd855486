//! What of the programme did not come.

use tubtrace_units::{Load, Seconds};

use super::check::{Check, Harm, Headline, Needs, Numbers};
use super::constants::PLAIN_FROM;
use super::context::Context;
use super::event::Event;
use super::evidence::warmth::was_warm;
use super::outside::Outside;
use super::uncertainty::Band;
use super::widen::may_be_left_out;
use crate::alignment::{BLINK, Place, Step, unseen};
use crate::chart::Expected;
use crate::constant::constants;
use crate::intervals::{Interval, Kind};

pub(super) static CHECKS: [&Check; 2] = [&LEFT_OUT, &MISSING];

constants! { "checks.programme":
    /// Probability that what should have come after all that was seen did not come.
    MISSING_SURE: f64 = 0.9, "probability", Guess;
}

/// A whole part of the programme is missing: told once, at its first interval.
static LEFT_OUT: Check = Check {
    id: "left-out",
    does: Kind::Fill,
    rank: 460,
    hold: |context| {
        let whole = left_out_whole(context);
        let of_part = |(place, before): (Place, usize)| {
            let first = place.interval == 0 && whole.contains(&(place.part, place.copy));
            let name = &context.chart.parts[place.part].name;
            let outside = LEFT_OUT.came(start_of(context, before), 0, 1).at(context, place);
            first.then(|| outside.of(name, Kind::Fill))
        };
        did_not_come(context).filter_map(of_part).collect()
    },
    widen: |chart, outside| outside.part_of(chart).map(|part| part.times.low = 0).is_some(),
    of_whole_waters: true,
    needs: Needs::Programme,
    event: Event::Shortest,
    headline: Headline::Of("whole section skipped"),
    numbers: Numbers::Without,
    of_order_or_load: true,
    harm: Harm::Stops,
    ..Check::PLAIN
};

/// An interval is missing.
static MISSING: Check = Check {
    id: "missing",
    rank: 470,
    hold: |context| {
        let whole = left_out_whole(context);
        let phases = &context.explanation.phases;
        let must = |(place, before): &(Place, usize)| {
            let expected = context.expected(*place);
            let warm = expected.kind == Kind::Heat && was_warm(context, *place);
            let may = expected.may || unseen(expected, phases, *before) || later(context, *place, *before);
            !whole.contains(&(place.part, place.copy)) && !warm && !may
        };
        did_not_come(context).filter(must).map(|(place, before)| missing(context, place, before)).collect()
    },
    widen: may_be_left_out,
    unusual_in_drying: true,
    of_whole_waters: true,
    needs: Needs::Programme,
    event: Event::Shortest,
    headline: Headline::Of("missing"),
    numbers: Numbers::Without,
    of_order_or_load: true,
    harm: Harm::Stops,
    ..Check::PLAIN
};

/// The intervals of the chart that did not come, with the phase before which they should have.
fn did_not_come<'a>(context: &Context<'a>) -> impl Iterator<Item = (Place, usize)> + use<'a> {
    context.explanation.steps.iter().filter_map(|step| match step {
        Step::Missing { place, before } => Some((*place, *before)),
        _ => None,
    })
}

/// Parts that must come, as (part, copy), of which nothing came, and not because all of it may be left out.
fn left_out_whole(context: &Context) -> Vec<(usize, u32)> {
    let missing = |p: &Place| did_not_come(context).any(|(place, _)| place == *p);
    let mut parts = Vec::new();
    for (part, expected) in context.chart.parts.iter().enumerate() {
        // One interval that is missing is told by its own name.
        let several = expected.intervals.len() > 2 && expected.intervals.iter().any(|i| !i.may);
        for copy in (0..expected.times.low).filter(|_| several) {
            let places = (0..expected.intervals.len()).map(|interval| Place { part, copy, interval });
            if places.clone().all(|p| missing(&p)) {
                parts.push((part, copy));
            }
        }
    }
    parts
}

/// When what is missing should have come: where the phase before which it is missing begins, or else the last.
fn start_of(context: &Context, before: usize) -> Seconds {
    let phases = &context.explanation.phases;
    phases.get(before).or(phases.last()).map_or(Seconds(0.0), |a| a.start)
}

/// Whether the heater ran right where a hold is missing, in what the chart has no place for: as before a gap, after which it is not seen
/// whether the pump ran beside it. That may be the hold.
fn heated_there(context: &Context, place: Place, before: usize) -> bool {
    let phases = &context.explanation.phases;
    let extra = |p: usize| {
        context.explanation.steps.iter().any(|s| matches!(s, Step::Extra { phase } if *phase == p))
    };
    let heats = |p: usize| context.intervals(&phases[p..=p]).any(|i: &Interval| i.loads.has(Load::Heater));
    let beside = before.saturating_sub(1)..(before + 1).min(phases.len());
    context.expected(place).kind == Kind::Heat && beside.into_iter().any(|p| extra(p) && heats(p))
}

/// Whether something small ran right where a fill or a drain is missing, in what the chart has no place for, and it is in doubt what it was.
fn small_there(context: &Context, place: Place, before: usize) -> bool {
    let phases = &context.explanation.phases;
    let small = |kind| matches!(kind, Kind::Fill | Kind::Drain | Kind::Dry);
    let doubtful = |p: &usize| {
        let extra =
            context.explanation.steps.iter().any(|s| matches!(s, Step::Extra { phase } if phase == p));
        extra && small(phases[*p].kind) && context.certainty(&phases[*p..=*p]) < PLAIN_FROM.get()
    };
    let mut beside = before.saturating_sub(1)..(before + 1).min(phases.len());
    small(context.expected(place).kind) && beside.any(|p| doubtful(&p))
}

/// Whether something that is missing at the end may have come later than the log shows, after a pause that the programme has before it.
fn later(context: &Context, place: Place, before: usize) -> bool {
    let cycle = context.cycle;
    let seen_for = cycle.record.until - cycle.end();
    let intervals = &context.chart.parts[place.part].intervals[..place.interval];
    let longest = |expected: &Expected| expected.lasts.map_or(Seconds(0.0), |limits| limits.high);
    let waits: Seconds = intervals.iter().filter(|i| i.kind == Kind::Pause).map(longest).sum();
    before == context.explanation.phases.len() && waits > seen_for
}

/// An interval that must come and did not. One that may be as short as a blink may have come and not been seen.
fn missing(context: &Context, place: Place, before: usize) -> Outside {
    let certainty = context
        .explanation
        .phases
        .get(before)
        .map_or(MISSING_SURE.get(), |a| context.certainty(std::slice::from_ref(a)));
    let blinks = context.expected(place).lasts.is_some_and(|l| l.low < BLINK.get());
    let may_have_come = blinks || heated_there(context, place, before) || small_there(context, place, before);
    let band = if may_have_come { Band::Guard } else { Band::Beyond };
    MISSING.came(start_of(context, before), 0, 1).at(context, place).sure(certainty).band(band)
}
