//! Whether the programme came to its end: it broke off, began again, or was ended.

use tubtrace_units::Seconds;

use super::check::{Check, Grade, Harm, Headline, Needs, Numbers};
use super::context::{Context, hides_a_water};
use super::event::Event;
use crate::alignment::Phase;
use crate::chart::Expected;
use crate::constant::constants;
use crate::intervals::{Interval, Kind};

pub(super) static CHECKS: [&Check; 3] = [&BEGAN_AGAIN, &BROKE_OFF, &ENDS_EARLY];

constants! { "checks.ended":
    /// Probability that a programme broke off and began again where its explanation says so.
    BROKE_SURE: f64 = 0.99, "probability", Guess;
}

/// The programme broke off and began from the start.
static BEGAN_AGAIN: Check = Check {
    id: "began-again",
    does: Kind::Pause,
    rank: 300,
    hold: |context| {
        let pause = context.explanation.began_again().map(|at| &context.explanation.phases[at]);
        let outside = |pause: &Phase| {
            BEGAN_AGAIN.came(pause.start, 1, 0).of(pause.kind.word(), Kind::Pause).sure(BROKE_SURE.get())
        };
        pause.map(outside).into_iter().collect()
    },
    needs: Needs::Programme,
    event: Event::Shortest,
    // What is missing after a break that did not go on is not told at all: the alignment leaves the end open there.
    followed_by: &["missing", "left-out"],
    headline: Headline::Is("broke off and began again"),
    numbers: Numbers::Without,
    harm: Harm::Stops,
    ..Check::PLAIN
};

/// The programme broke off and did not go on.
static BROKE_OFF: Check = Check {
    id: "broke-off",
    rank: 310,
    hold: |context| {
        let last = context.broke_off().filter(|_| !had_only_to_dry(context) && !may_be_lost(context));
        let outside = |last: &Phase| BROKE_OFF.came(last.end, 1, 0).of(last.kind.word(), last.kind);
        last.map(outside).into_iter().collect()
    },
    masked_by: &["heat-at-end"],
    of_whole_waters: true,
    needs: Needs::Programme,
    event: Event::Shortest,
    headline: Headline::Is("broke off and did not go on"),
    numbers: Numbers::Without,
    of_order_or_load: true,
    harm: Harm::Stops,
    ..Check::PLAIN
};

/// The programme broke off when its water had left, and no more was to come: who takes the dishes out ends it so. Common practice, no source.
static ENDS_EARLY: Check = Check {
    id: "ends-early",
    subject: "drying",
    does: Kind::Dry,
    rank: 312,
    hold: |context| {
        let last = context.broke_off().filter(|_| had_only_to_dry(context) && !may_be_lost(context));
        last.map(|last| ENDS_EARLY.came(last.end, 1, 0)).into_iter().collect()
    },
    grade: Grade::Unusual,
    of_whole_waters: true,
    needs: Needs::Programme,
    event: Event::Shortest,
    headline: Headline::Is("ended with the tub empty, before the end of its programme"),
    numbers: Numbers::Without,
    of_order_or_load: true,
    harm: Harm::Little,
    ..Check::PLAIN
};

/// Whether the tub was empty at the end, and the programme had neither a fill nor a hold left.
fn had_only_to_dry(context: &Context) -> bool {
    let water =
        |i: &&Interval| matches!(i.kind, Kind::Fill | Kind::Wash | Kind::Heat | Kind::Drain | Kind::Gap);
    let empty = context.cycle.intervals.iter().rev().find(water).is_some_and(|i| i.kind == Kind::Drain);
    let came = context.matched().next().is_some();
    empty && came && left_to_come(context).all(|i| !matches!(i.kind, Kind::Fill | Kind::Heat))
}

/// What of the programme comes after the last interval that came.
fn left_to_come<'a>(context: &Context<'a>) -> impl Iterator<Item = &'a Expected> {
    let chart = context.chart;
    let last = context.matched().last().map(|(place, ..)| place);
    let own = last.map(|last| chart.parts[last.part].intervals.iter().skip(last.interval + 1));
    let others = last.map(|last| chart.parts[last.part + 1..].iter().flat_map(|part| &part.intervals));
    own.into_iter().flatten().chain(others.into_iter().flatten())
}

/// Whether all that did not come may have come where readings are lost, and what stands behind that is another part than it is taken for.
fn may_be_lost(context: &Context) -> bool {
    let lost = context.cycle.intervals.iter().filter(|i| hides_a_water(i)).map(Interval::duration);
    let must = left_to_come(context).filter(|i| !i.may).filter_map(|i| i.lasts);
    let lost: Seconds = lost.sum();
    lost > Seconds(0.0) && must.map(|limits| limits.low).sum::<Seconds>() <= lost
}
