//! Whether water moves in the drain hose.

use tubtrace_units::Seconds;

use crate::alignment::Place;
use crate::checks::context::Context;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Record};
use crate::stats::weighted_median;
use crate::trace::{Detail, Noise, Step};

constants! { "checks.evidence.drains":
    /// Water in the drain hose is heard at several times the level at which the wash pump beside it is; a drain pump without water at
    /// about that level.
    FLOWS: f64 = 4.0, "factor", Practice;
    /// Water in the hose, however little, is louder than a quiet hose by this.
    STILL_HEARD: f64 = 2.5, "factor", Practice;
    /// Water flows where the hose is louder than this part of the loudest minute of the drain.
    AS_LOUD: f64 = 0.45, "part", Fitted;
}

/// A drain of the chart in which no water is heard.
#[derive(Clone, Copy, Debug)]
pub(in crate::checks) struct Silent {
    pub place: Place,
    pub start: Seconds,
    /// The loudest that is heard.
    pub heard: Noise,
    /// The level from which on it would be water.
    pub least: Noise,
    /// Probability that it is a drain at all.
    pub certainty: f64,
}

/// The drains of the chart in which no water is heard.
pub(in crate::checks) fn silent(context: &Context) -> Vec<Silent> {
    let Some(least) = least_noise(context) else { return Vec::new() };
    let drains = context.matched().filter(|(_, e, _)| e.kind == Kind::Drain);
    let silent = drains.filter_map(|(place, _, phases)| {
        // Of a drain that the log cuts, the loud part may be lost.
        let whole = |i: &&Interval| i.kind == Kind::Drain && !context.cycle.cuts(i.start, i.end);
        let own = context.intervals(phases).filter(whole);
        let loudest = own.filter_map(|i| i.measured.drain_noise).max_by(|a, b| a.0.total_cmp(&b.0));
        let heard = loudest.filter(|l| *l < least)?;
        Some(Silent { place, start: phases[0].start, heard, least, certainty: context.certainty(phases) })
    });
    silent.collect()
}

/// The level from which on water is heard in the drain hose, in this cycle.
fn least_noise(context: &Context) -> Option<Noise> {
    let washes = context.cycle.intervals.iter().filter(|i| i.kind == Kind::Wash);
    let levels = washes.filter_map(|i| Some((i.measured.drain_noise?.0, i.duration().0)));
    weighted_median(levels).map(|pump| Noise(FLOWS.get() * pump))
}

/// Whether water is heard in the drain hose in an interval; `None` where that cannot be known.
pub(in crate::checks) fn heard_in(context: &Context, interval: &Interval) -> Option<bool> {
    Some(interval.measured.drain_noise? >= least_noise(context)?)
}

/// The readings of a drain in which water is heard: half as loud as the loudest, or nearly.
pub(in crate::checks) fn flowing<'a>(
    record: &'a Record,
    drain: &Interval,
) -> Option<impl Iterator<Item = Step> + use<'a>> {
    let loud = drain.measured.drain_noise?;
    let flows = move |s: &Step| s.detail.is_some_and(|d: Detail| d.drain.0 > AS_LOUD.get() * loud.0);
    Some(record.between(drain.start, drain.end).filter(flows))
}

/// Whether the loudest drain is louder than a quiet hose: there is water, however little.
pub(in crate::checks) fn still_heard(context: &Context) -> bool {
    let drains = context.cycle.intervals.iter().filter(|i| i.kind == Kind::Drain);
    let loudest = drains.filter_map(|i| i.measured.drain_noise).map(|n| n.0).fold(0.0, f64::max);
    context.quiet_hose().is_some_and(|quiet| loudest > STILL_HEARD.get() * quiet.0)
}
