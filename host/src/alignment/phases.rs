//! Phases: intervals as a chart sees them, neighbours of one kind taken together.

use std::ops::Range;

use tubtrace_units::{Amps, Load, Seconds};

use super::constants::{BLINK, MEANS_FROM, MEANS_OF_OWN};
use crate::intervals::{Interval, Kind};

/// Neighbouring intervals of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Phase {
    /// What the machine does.
    pub kind: Kind,
    /// Which intervals of the cycle.
    pub intervals: Range<usize>,
    /// When it begins, from the first sample of the log.
    pub start: Seconds,
    /// When it ends, from the first sample of the log.
    pub end: Seconds,
}

impl Phase {
    /// How long it lasts.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end - self.start
    }
}

/// How long phases that are one interval of `kind` lasted: what was seen of it, pauses left out, and how much of that
/// lies in gaps. Purges and relays that blink are part of it.
pub(crate) fn lasted(kind: Kind, phases: &[Phase]) -> (Seconds, Seconds) {
    let time = |of: Kind| -> Seconds { phases.iter().filter(|a| a.kind == of).map(Phase::duration).sum() };
    let (Some(first), Some(last)) = (phases.first(), phases.last()) else { return Default::default() };
    let paused = if kind == Kind::Pause { Seconds(0.0) } else { time(Kind::Pause) };
    (last.end - first.start - paused, time(Kind::Gap))
}

/// Whether readings so far apart are means, and not what is drawn just then.
#[must_use]
pub fn are_means(resolution: Seconds) -> bool {
    resolution >= MEANS_FROM.get()
}

/// The phases of a cycle's intervals, where a reading stands for `resolution`: as its readings can show them. Where they are means, what draws
/// less than `heats` is no heater.
#[must_use]
pub fn phases(intervals: &[Interval], resolution: Seconds, heats: Amps) -> Vec<Phase> {
    if !are_means(resolution) {
        return switched(joined(single(intervals), |_, _| true));
    }
    let least = resolution * MEANS_OF_OWN.get();
    let told = single(intervals)
        .filter_map(|a| Some(Phase { kind: in_means(&intervals[a.intervals.start], heats)?, ..a }));
    let near = joined(told, |before, next| next.start - before.end < least);
    let long = near.into_iter().filter(|a| a.kind == Kind::Gap || a.duration() >= least);
    joined(long, |_, _| true)
}

/// What a control switches off for moments and on again is one interval, however often it does: heat that is regulated by slices of seconds, a
/// pump that rests while the water turns to another spray arm, a valve or a drain pump in pulses.
fn switched(phases: Vec<Phase>) -> Vec<Phase> {
    let mut all: Vec<Phase> = Vec::new();
    for phase in phases {
        all.push(phase);
        let [.., first, off, on] = &all[..] else { continue };
        let rests = match off.kind {
            Kind::Pause => matches!(on.kind, Kind::Fill | Kind::Wash | Kind::Heat | Kind::Drain),
            Kind::Wash => on.kind == Kind::Heat,
            _ => false,
        };
        if first.kind == on.kind && rests && off.duration() < BLINK.get() {
            let (end, last) = (on.end, on.intervals.end);
            all.truncate(all.len() - 2);
            if let Some(first) = all.last_mut() {
                (first.end, first.intervals.end) = (end, last);
            }
        }
    }
    all
}

/// What means can tell of an interval: that it heats, whether or not the pump runs beside the element, or that it washes. What is smaller
/// than the wash pump cannot be told apart, and what draws less than `heats` is no heater.
fn in_means(interval: &Interval, heats: Amps) -> Option<Kind> {
    match interval.kind {
        Kind::Gap => Some(Kind::Gap),
        _ if interval.loads.has(Load::Heater) && interval.measured.amps >= heats => Some(Kind::Heat),
        Kind::Wash | Kind::Heat => Some(Kind::Wash),
        _ => None,
    }
}

/// The longest of these intervals that is of this kind, as readings that stand for `resolution` show it: what the load draws is seen best in
/// it. None, where no mean has it to itself.
pub(crate) fn clearest<'a>(
    kind: Kind,
    intervals: impl Iterator<Item = &'a Interval>,
    resolution: Seconds,
) -> Option<&'a Interval> {
    let means = are_means(resolution);
    let least = if means { resolution * MEANS_OF_OWN.get() } else { Seconds(0.0) };
    let seen = |i: &Interval| if means { in_means(i, Amps(0.0)) } else { Some(i.kind) };
    let own = intervals.filter(|i| seen(i) == Some(kind) && i.duration() >= least);
    own.max_by(|a, b| a.duration().total_cmp(&b.duration()))
}

/// Each interval by itself.
fn single(intervals: &[Interval]) -> impl Iterator<Item = Phase> {
    let phase = |(i, interval): (usize, &Interval)| Phase {
        kind: interval.kind,
        intervals: i..i + 1,
        start: interval.start,
        end: interval.end,
    };
    intervals.iter().enumerate().map(phase)
}

/// Neighbours of one kind as one, where they may be.
fn joined(phases: impl Iterator<Item = Phase>, may: impl Fn(&Phase, &Phase) -> bool) -> Vec<Phase> {
    let mut all: Vec<Phase> = Vec::new();
    for phase in phases {
        match all.last_mut() {
            Some(last) if last.kind == phase.kind && may(last, &phase) => {
                (last.intervals.end, last.end) = (phase.intervals.end, phase.end);
            }
            _ => all.push(phase),
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the machine does, and for how long.
    fn kinds(of: &[(Kind, f64)]) -> Vec<(Kind, f64)> {
        let mut start = Seconds(0.0);
        let phases = of.iter().enumerate().map(|(i, (kind, lasts))| {
            let phase = Phase { kind: *kind, intervals: i..i + 1, start, end: start + Seconds(*lasts) };
            start = phase.end;
            phase
        });
        switched(phases.collect()).iter().map(|p| (p.kind, p.duration().0)).collect()
    }

    #[test]
    fn heat_in_slices_is_a_hold_and_a_pump_that_rests_for_moments_is_a_wash() {
        let slices = [(Kind::Heat, 6.0), (Kind::Wash, 4.0)].repeat(20);
        assert_eq!(kinds(&slices), [(Kind::Heat, 196.0), (Kind::Wash, 4.0)]);
        let turns = [(Kind::Wash, 34.0), (Kind::Pause, 7.0)].repeat(3);
        assert_eq!(kinds(&turns), [(Kind::Wash, 116.0), (Kind::Pause, 7.0)]);
    }

    #[test]
    fn what_rests_for_longer_or_is_something_else_stays_apart() {
        let rest = [(Kind::Heat, 300.0), (Kind::Wash, 60.0), (Kind::Heat, 300.0)];
        assert_eq!(kinds(&rest), rest);
        let blink = [(Kind::Wash, 300.0), (Kind::Heat, 4.0), (Kind::Wash, 300.0)];
        assert_eq!(kinds(&blink), blink);
    }
}
