//! One event that is found twice: where the boundary between two intervals comes late or early, one is too long and its neighbour as much too
//! short.

use super::context::Context;
use super::found::Found;
use crate::alignment::Place;
use crate::quantity::Quantity;

/// The same findings, the later of two that are one boundary's following from the earlier: both intervals together last as long as both may.
pub(super) fn with_moved_boundaries(context: &Context, mut found: Vec<Found>) -> Vec<Found> {
    let places: Vec<Place> = context.matched().map(|(place, ..)| place).collect();
    for pair in places.windows(2) {
        let of = |place: Place| move |f: &Found| is_duration(f) && f.outside.place == Some(place);
        let (first, second) = (found.iter().position(of(pair[0])), found.iter().position(of(pair[1])));
        let Some((first, second)) = first.zip(second) else { continue };
        let (check, follows) = (found[first].check, found[first].follows);
        if follows.is_none() && is_one_boundary(&found[first], &found[second]) {
            found[second].follows.get_or_insert(check);
        }
    }
    found
}

/// Whether it says how long an interval lasts, and can be told.
fn is_duration(found: &Found) -> bool {
    matches!(found.check.id, "too-long" | "too-short") && found.outside.is_decided()
}

/// Whether one is too long and the other too short, and both together are neither.
fn is_one_boundary(first: &Found, second: &Found) -> bool {
    let seconds = |q: Quantity| q.number();
    let limits = |f: &Found| Some((f.outside.expected.0.map(seconds)?, f.outside.expected.1.map(seconds)?));
    let Some((first_limits, second_limits)) = limits(first).zip(limits(second)) else { return false };
    let together = seconds(first.outside.measured) + seconds(second.outside.measured);
    let least_and_most = first_limits.0 + second_limits.0..=first_limits.1 + second_limits.1;
    first.check.id != second.check.id && least_and_most.contains(&together)
}

#[cfg(test)]
mod tests {
    use tubtrace_units::Seconds;

    use super::*;
    use crate::checks::list::all;
    use crate::checks::outside::Outside;
    use crate::intervals::Kind;

    fn lasts(id: &str, measured: f64, (low, high): (f64, f64)) -> Found {
        let check = all().find(|c| c.id == id).unwrap();
        let time = |s: f64| Quantity::Time(Seconds(s));
        let expected = (Some(time(low)), Some(time(high)));
        let outside = Outside::new(("", Kind::Wash), Seconds(0.0), time(measured), expected, time(1.0));
        Found { check, outside, grade: check.grade, follows: None }
    }

    #[test]
    fn a_late_boundary_is_one_event_and_lost_time_is_not() {
        let late = lasts("too-long", 2_100.0, (1_560.0, 1_920.0));
        let as_much = lasts("too-short", 420.0, (480.0, 1_020.0));
        let nearly_nothing = lasts("too-short", 5.0, (1_200.0, 1_500.0));
        assert!(is_one_boundary(&late, &as_much));
        assert!(!is_one_boundary(&late, &nearly_nothing));
        assert!(!is_one_boundary(&late, &lasts("too-long", 2_100.0, (480.0, 1_020.0))));
    }
}
