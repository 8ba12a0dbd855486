//! The logger's pickups, so that nobody opens a machine for a pickup that has come loose.

use tubtrace_units::Seconds;

use super::check::{Check, Harm, Headline};
use super::context::Context;
use super::evidence::{drains, fills};
use super::outside::Outside;
use crate::intervals::Kind;

pub(super) static CHECKS: [&Check; 2] = [&SUPPLY_DEAF, &DRAIN_DEAF];

/// The machine fills, and nothing is heard in the supply line: something small that leads straight to a wash is a fill that was
/// not heard.
static SUPPLY_DEAF: Check = Check {
    id: "supply-deaf",
    subject: "supply pickup",
    does: Kind::Fill,
    rank: 70,
    measure: fills::heard,
    hold: |context| {
        let all = &context.cycle.intervals;
        let leads = |i: usize| all.get(i + 1).is_some_and(|next| next.kind == Kind::Wash);
        let unheard = fills::unheard(context, context.signs(SUPPLY_DEAF.id));
        let led: Vec<_> = unheard.into_iter().filter(|(i, _)| leads(*i)).collect();
        led.first().map(|(_, fill)| SUPPLY_DEAF.counted(fill.start, led.len(), 0)).into_iter().collect()
    },
    headline: Headline::Is("it fills, and nothing is heard in the supply line"),
    harm: Harm::Logger,
    ..Check::PLAIN
};

/// The machine drains as its next fill shows, and nothing is heard in the hose.
static DRAIN_DEAF: Check = Check {
    id: "drain-deaf",
    subject: "drain pickup",
    does: Kind::Drain,
    rank: 80,
    hold: deaf_drain,
    // What has left before the drain is not heard in it; where the next fill is short, or the tub stays full, the water did not go; and little
    // water that is heard to the end is little water, and not a pickup that hears nothing.
    masked_by: &[
        "siphons",
        "missing fill",
        "too-short fill",
        "empties-late",
        "stays-full",
        "gives-up-draining",
    ],
    headline: Headline::Is("it drains, and nothing is heard in the hose"),
    harm: Harm::Logger,
    ..Check::PLAIN
};

fn deaf_drain(context: &Context) -> Vec<Outside> {
    // Of a run that the log cuts, water that comes after a drain shows that some left.
    let fills = |at: Seconds| context.cycle.intervals.iter().any(|i| i.kind == Kind::Fill && i.start > at);
    let whole = context.cycle.lacks().is_none();
    let silent: Vec<_> =
        drains::silent(context).into_iter().filter(|drain| whole || fills(drain.start)).collect();
    silent.first().map(|first| DRAIN_DEAF.counted(first.start, silent.len(), 0)).into_iter().collect()
}
