//! What was measured in each interval.

use tubtrace_units::{Celsius, Seconds, Watts};

use super::constants::LOUDEST;
use super::interval::{Edges, Measured};
use super::kind::Kind;
use super::lag::settle;
use crate::stats::{weighted_median, weighted_quantile};
use crate::trace::{Detail, Noise, Trace};

/// What was measured from `start` to `end`, which are as well known as `edges` says, while the machine did `kind`; nothing in a gap.
pub(super) fn measure(kind: Kind, (start, end): (Seconds, Seconds), edges: Edges, trace: &Trace) -> Measured {
    if kind == Kind::Gap {
        return Measured::default();
    }
    // The median leaves out inrush; readings in the middle of a change count only where there is no other.
    let first = trace.steps.partition_point(|s| s.start < start);
    let whole = (first..).map_while(|i| trace.steps.get(i)).take_while(|s| s.end <= end);
    let power = weighted_median(whole.map(|s| (s.power.0, s.duration().0)))
        .or_else(|| weighted_median(trace.between(start, end).map(|s| (s.power.0, s.duration().0))));
    let power = Watts(power.unwrap_or(0.0));
    // Water leaves in the first seconds of a drain, and the pump goes on: the loudest twentieth of the time counts.
    let noise = |of: &dyn Fn(&Detail) -> Noise| {
        let levels = trace.between(start, end).filter_map(|s| Some((of(&s.detail?).0, s.duration().0)));
        weighted_quantile(levels, LOUDEST.get()).map(Noise)
    };
    let clips = &trace.temperatures;
    Measured {
        edges,
        power,
        amps: trace.amps(power),
        supply: (kind == Kind::Fill).then(|| settle(clips, start, end, |r| r.supply)).flatten(),
        drain: (kind == Kind::Drain).then(|| settle(clips, start, end, |r| r.drain)).flatten(),
        supply_noise: noise(&|d| d.supply),
        drain_noise: noise(&|d| d.drain),
        drain_clip_peak: peak(trace, start, end),
    }
}

fn peak(trace: &Trace, start: Seconds, end: Seconds) -> Option<Celsius> {
    let first = trace.temperatures.partition_point(|r| r.end <= start);
    let within = trace.temperatures[first..].iter().take_while(|r| r.start < end);
    within.filter_map(|r| r.drain).max_by(Celsius::total_cmp)
}
