//! What a machine still does after something was found: who can do it is not broken for good.

use tubtrace_units::{Load, Seconds};

use super::constants::{RAN, RAN_DRAIN};
use crate::checks::constants::PLAIN_FROM;
use crate::intervals::{Cycle, Interval, Kind};

/// The intervals of a cycle after this time in which the machine surely does this for long enough to be no chance reading.
pub fn runs_after(cycle: &Cycle, kind: Kind, after: Seconds) -> impl Iterator<Item = &Interval> {
    // Whether it is in water or in air, what runs is no dead part.
    let surely = |i: &Interval, load| i.loads.has(load) && i.runs(load) >= PLAIN_FROM.get();
    let does = move |i: &&Interval| match kind {
        Kind::Heat => surely(i, Load::Heater),
        Kind::Wash => surely(i, Load::WashPump),
        _ => i.kind == kind && i.certainty >= PLAIN_FROM.get(),
    };
    let least = if kind == Kind::Drain { RAN_DRAIN.get() } else { RAN.get() }.max(cycle.resolution * 2.0);
    let all = cycle.intervals.iter().filter(move |i| i.start >= after);
    all.filter(does).filter(move |i| i.duration() >= least)
}
