//! How warm the water of a hold was, as it shows when it leaves.

use tubtrace_units::Celsius;

use super::drains;
use crate::alignment::Place;
use crate::checks::context::Context;
use crate::intervals::{Interval, Kind, Settled};

/// Whether the water was as warm as the hold makes it without any heat: a tub that is warm from the run before.
pub(in crate::checks) fn was_warm(context: &Context, hold: Place) -> bool {
    let (until, left) = (context.expected(hold).until, leaves(context, hold));
    until.zip(left).is_some_and(|(until, left)| left.water - left.uncertainty >= until)
}

/// The water that leaves after the hold.
pub(in crate::checks) fn leaves(context: &Context, hold: Place) -> Option<Settled> {
    let same_part = |p: Place| p.part == hold.part && p.copy == hold.copy && p.interval > hold.interval;
    let mut drains = context.matched().filter(|(p, e, _)| same_part(*p) && e.kind == Kind::Drain);
    let (_, _, phases) = drains.next()?;
    // A clip on a hose in which no water moves reads the hose.
    let flows = |i: &&Interval| drains::heard_in(context, i) != Some(false);
    let warmest = |a: &Settled, b: &Settled| Celsius::total_cmp(&a.water, &b.water);
    context.intervals(phases).filter(flows).filter_map(|i| i.measured.drain).max_by(warmest)
}
