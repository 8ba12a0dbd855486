//! What a machine still does after something was found: who can do it is not broken for good.

use tubtrace_units::{Load, Seconds};

use super::constants::{RAN, RAN_DRAIN};
use crate::checks::constants::PLAIN_FROM;
use crate::intervals::{Cycle, Interval, Kind};

/// The intervals of a cycle after this time in which the machine surely does this for long enough to be no chance reading.
pub fn runs_after(cycle: &Cycle, kind: Kind, after: Seconds) -> impl Iterator<Item = &Interval> {
    let does = move |i: &&Interval| match kind {
        Kind::Heat => i.loads.has(Load::Heater),
        Kind::Wash => i.loads.has(Load::WashPump),
        _ => i.kind == kind,
    };
    let least = if kind == Kind::Drain { RAN_DRAIN.get() } else { RAN.get() }.max(cycle.resolution * 2.0);
    let all = cycle.intervals.iter().filter(move |i| i.start >= after && i.certainty >= PLAIN_FROM.get());
    all.filter(does).filter(move |i| i.duration() >= least)
}
