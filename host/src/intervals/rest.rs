//! Rests: for a second or so nothing runs between two things that a machine does. Readings as far apart as that hardly show it, and it is part of neither.

use tubtrace_units::{Seconds, Watts};

use crate::stats::weighted_median;
use crate::trace::{Step, Trace};

/// Readings on either side of a change in which a rest is looked for: of two and a half between two states the model makes no third, and a motor that
/// starts for a second or two draws next to nothing.
const BESIDE: f64 = 5.0;

/// Longest rest between two things: readings as far apart as that do not show it.
const LONGEST: Seconds = Seconds(2.0);

/// Part of a reading from which on a load is taken to have run for all of it: a level is known to a tenth.
const WHOLE: f64 = 0.9;

/// When the first of two things ends and when the second begins, of which the first was taken to last from `start` to `change` and the second from there to
/// `end`; the same moment twice where the readings show no rest. A reading is the mean of what was drawn in it, so one within which a load went off or on
/// says for how long it was on.
pub(super) fn apart(
    (start, change, end): (Seconds, Seconds, Seconds),
    standby: Watts,
    trace: &Trace,
) -> (Seconds, Seconds) {
    let together = (change, change);
    if trace.resolution >= LONGEST {
        return together;
    }
    let beside = trace.resolution * BESIDE;
    let level = |from: Seconds, to: Seconds| {
        let power = trace.between(from, to).map(|s| (s.power.0 - standby.0, s.duration().0));
        weighted_median(power).filter(|above| *above > 0.0)
    };
    let first = level(start, change - beside).or_else(|| level(start, change));
    let second = level(change + beside, end).or_else(|| level(change, end));
    let (Some(first), Some(second)) = (first, second) else { return together };
    let from = trace.steps.partition_point(|s| s.end <= change - beside);
    let near: Vec<Step> =
        (from..).map_while(|i| trace.steps.get(i).filter(|s| s.start < change + beside)).collect();
    // The part of a reading for which a load of such a power ran; one that was held for longer has no change in it.
    let ran = |step: &Step, power: f64| {
        let part = ((step.power.0 - standby.0) / power).clamp(0.0, 1.0);
        if part > WHOLE || step.duration().0 > 1.5 * trace.resolution.0 { part.round() } else { part }
    };
    let rests = |step: &Step| ran(step, first.min(second)) < 0.5;
    let lowest =
        near.iter().enumerate().filter(|(_, s)| rests(s)).min_by(|a, b| a.1.power.0.total_cmp(&b.1.power.0));
    let Some((lowest, _)) = lowest else { return together };
    let rest_from = near[..lowest].iter().rposition(|s| !rests(s));
    let rest_to = near[lowest..].iter().position(|s| !rests(s)).map(|n| lowest + n);
    let (Some(before), Some(after)) = (rest_from, rest_to) else { return together };
    let runs = |step: &Step, power: f64| step.duration().0 * ran(step, power);
    // A load that ran for all of the reading beside the rest may have run on into it; where both did, and one reading holds all of the rest, half of what
    // was drawn in it is the one's and half the other's.
    let on_into = (ran(&near[before], first) == 1.0, ran(&near[after], second) == 1.0);
    let share = if on_into == (true, true) && after - before == 2 { 0.5 } else { 1.0 };
    let into =
        |into: bool, rest: usize, power: f64| if into { share * runs(&near[rest], power) } else { 0.0 };
    let off = near[before].start.0 + runs(&near[before], first) + into(on_into.0, before + 1, first);
    let on = near[after].end.0 - runs(&near[after], second) - into(on_into.1, after - 1, second);
    if off <= on { (Seconds(off), Seconds(on)) } else { together }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{STANDBY, trace};

    /// By hand, over 2 W of standby: 10 W until 60.4 s, nothing, and 100 W from 61.7 s on, in means of a second.
    #[test]
    fn readings_say_when_a_rest_began_and_ended() {
        let readings = trace(&[(60, 12.0), (1, 6.0), (1, 32.0), (60, 102.0)]);
        let (off, on) = apart((Seconds(0.0), Seconds(60.0), Seconds(122.0)), Watts(STANDBY), &readings);
        assert!((off.0 - 60.4).abs() < 1e-9 && (on.0 - 61.7).abs() < 1e-9, "{off:?} {on:?}");
    }

    #[test]
    fn a_change_without_a_rest_is_one_moment() {
        let readings = trace(&[(60, 12.0), (1, 40.0), (60, 102.0)]);
        let change = Seconds(60.0);
        assert_eq!(
            apart((Seconds(0.0), change, Seconds(121.0)), Watts(STANDBY), &readings),
            (change, change)
        );
    }
}
