//! A quantity over time as a picture has it: gaps are gaps, and points are fewer without hiding a spike.

use minmaxlttb::{Point, extrema_selection};
use tubtrace_units::Seconds;

/// A value that holds from each point to the next.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Stretch {
    /// When, and what from then on.
    pub(super) points: Vec<(Seconds, f64)>,
    /// Until when the last one holds.
    pub(super) end: Seconds,
}

/// Less than this between two readings is rounding, not a gap.
const ROUNDING: Seconds = Seconds(0.01);

/// Readings (from, to, value) into stretches without a gap.
pub(super) fn stretches(readings: impl Iterator<Item = (Seconds, Seconds, f64)>) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::new();
    for (from, to, value) in readings {
        match stretches.last_mut() {
            Some(last) if from - last.end < ROUNDING => {
                if last.points.last().is_none_or(|p| p.1 != value) {
                    last.points.push((from, value));
                }
                last.end = to;
            }
            _ => stretches.push(Stretch { points: vec![(from, value)], end: to }),
        }
    }
    stretches
}

impl Stretch {
    /// The same with about `most` points at most: the least and the greatest of each of half as many equal times. What holds for long
    /// holds in each of them, so no level is drawn for longer than it was by more than one of these times.
    #[must_use]
    pub(super) fn reduced(&self, most: usize) -> Self {
        let times = most / 2;
        if self.points.len() <= most || times < 3 {
            return self.clone();
        }
        let Ok(chosen) = extrema_selection(&self.with_levels(times), times, 2) else { return self.clone() };
        let mut points: Vec<(Seconds, f64)> = chosen.iter().map(|p| (Seconds(p.x()), p.y())).collect();
        points.dedup_by(|next, before| next.1 == before.1);
        Self { points, end: self.end }
    }

    /// The points, and between them the level at the beginning of each of so many equal times.
    fn with_levels(&self, times: usize) -> Vec<Point> {
        let start = self.points.first().map_or(self.end, |p| p.0);
        let each = (self.end - start) / times as f64;
        let mut all = Vec::with_capacity(self.points.len() + times);
        let mut next = 1;
        for (i, &(at, value)) in self.points.iter().enumerate() {
            let until = self.points.get(i + 1).map_or(self.end, |p| p.0);
            while start + each * (next as f64) <= at {
                next += 1;
            }
            all.push(Point::new(at.0, value));
            while start + each * (next as f64) < until && next < times {
                all.push(Point::new((start + each * next as f64).0, value));
                next += 1;
            }
        }
        all
    }

    /// The greatest value of the curve, in its own unit.
    pub(super) fn greatest(&self) -> f64 {
        self.points.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max)
    }

    /// The least value of the curve, in its own unit.
    pub(super) fn least(&self) -> f64 {
        self.points.iter().map(|p| p.1).fold(f64::INFINITY, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn at(stretch: &Stretch, time: f64) -> f64 {
        let i = stretch.points.partition_point(|p| p.0.0 <= time);
        stretch.points[i.max(1) - 1].1
    }

    #[test]
    fn a_gap_parts_stretches_and_equal_values_are_one_point() {
        let readings = [(0.0, 1.0, 5.0), (1.0, 2.0, 5.0), (2.0, 3.0, 6.0), (9.0, 10.0, 6.0)];
        let found = stretches(readings.into_iter().map(|(a, b, v)| (Seconds(a), Seconds(b), v)));
        assert_eq!(found.len(), 2);
        assert_eq!(found[0].points, [(Seconds(0.0), 5.0), (Seconds(2.0), 6.0)]);
        assert_eq!((found[0].end, found[1].points[0].0), (Seconds(3.0), Seconds(9.0)));
    }

    #[test]
    fn a_surge_does_not_stand_for_the_minutes_after_it() {
        // A pump that starts with a surge of 0.3 s runs for ten minutes without a change.
        let mut points: Vec<(Seconds, f64)> =
            (0..3_000).map(|i| (Seconds(f64::from(i) * 0.1), f64::from(i % 7))).collect();
        points.extend([(Seconds(300.0), 60.0), (Seconds(300.3), 10.0)]);
        let reduced = Stretch { points, end: Seconds(900.0) }.reduced(400);
        assert_eq!(reduced.greatest(), 60.0);
        let each = 900.0 / 200.0;
        assert!((0..100).map(|i| 300.3 + 2.0 * each + f64::from(i) * 5.0).all(|t| at(&reduced, t) == 10.0));
    }

    proptest! {
        /// However few points are left, the extremes are among them, and their number is as promised.
        #[test]
        fn extremes_are_kept(values in prop::collection::vec(0u16..2_000, 10..3_000), most in 8usize..500) {
            let readings = values.iter().enumerate().map(|(i, v)| {
                (Seconds(i as f64 * 0.1), Seconds((i + 1) as f64 * 0.1), f64::from(*v))
            });
            let whole = &stretches(readings)[0];
            let reduced = whole.reduced(most);
            prop_assert_eq!(reduced.greatest(), whole.greatest());
            prop_assert_eq!(reduced.least(), whole.least());
            prop_assert!(reduced.points.len() <= most.max(whole.points.len().min(most)) + 4);
            prop_assert!(reduced.points.windows(2).all(|p| p[0].0 < p[1].0));
        }
    }
}
