//! A meter that stands still: it loses what it measures, and what writes its file goes on with the last reading, again and again, and often
//! with zeros behind that. No such reading is one.

use std::ops::Range;

use super::constants::{
    BY_CHANCE, NEVER_WANDERS, SMOOTH, STEADY_STEPS, STILL, STRETCHES, SURELY_STILL, TIMES_LONGER,
    WANDERS_ALIKE, ZEROS_BEHIND,
};

/// The rows that say nothing, for the meter stood still: all but the first of each stretch. Times are in seconds, those of consecutive rows at
/// most `limit` apart where nothing is missing.
pub(super) fn stands_still(times: &[f64], values: &[f64], limit: f64) -> Vec<Range<usize>> {
    let off = values.iter().copied().fold(f64::INFINITY, f64::min);
    let wanders = off + STEADY_STEPS.get() * step(values).unwrap_or(f64::INFINITY);
    let lasts = |s: &Range<usize>| times[s.end - 1] - times[s.start];
    let is_long = |s: &Range<usize>| lasts(s) >= STILL.get();
    let of_a_load = || stretches(times, values, limit).filter(|s| values[s.start] >= wanders);
    // Each lasts for minutes, so there are few.
    let mut long: Vec<Range<usize>> = of_a_load().filter(is_long).collect();
    long.sort_by(|a, b| values[a.start].total_cmp(&values[b.start]));
    let alike = |s: &Range<usize>| values[s.start] * WANDERS_ALIKE.get();
    let mut others = vec![Others::default(); long.len()];
    for stretch in of_a_load().filter(|s| !is_long(s)) {
        let least = long.partition_point(|long| alike(long) < values[stretch.start]);
        if let Some(others) = others.get_mut(least) {
            others.take(Others { count: 1, readings: stretch.len(), longest: stretch.len() });
        }
    }
    let mut so_far = Others::default();
    let never_wanders =
        |s: &Range<usize>| never_wanders(values, &long, values[s.start] / WANDERS_ALIKE.get());
    let still = long.iter().zip(others).filter(|(long, own)| {
        so_far.take(*own);
        so_far.is_unlike(long.len()) && !never_wanders(long)
    });
    let still: Vec<&Range<usize>> = still.map(|(stretch, _)| stretch).collect();
    if !still.iter().any(|stretch| lasts(stretch) >= SURELY_STILL.get()) {
        return Vec::new();
    }
    let until = |s: &Range<usize>| s.start + 1..zeros_behind(times, values, s.end, off);
    let mut rows: Vec<Range<usize>> = still.iter().copied().map(until).collect();
    rows.sort_by_key(|s| s.start);
    rows
}

/// Rows of the same value, none missing among them. There may be millions, so they are not held.
fn stretches(times: &[f64], values: &[f64], limit: f64) -> impl Iterator<Item = Range<usize>> {
    let mut from = 0;
    std::iter::from_fn(move || {
        let start = from;
        let first = values.get(start)?;
        let goes_on = |row: &usize| values[*row] == *first && times[*row] - times[*row - 1] <= limit;
        from = start + 1 + (start + 1..values.len()).take_while(goes_on).count();
        Some(start..from)
    })
}

/// Whether nearly all readings from `least` on are in these stretches: then loads that draw so much never wander in this file, as in one that was
/// modelled or smoothed, and its meter need not have stood still.
fn never_wanders(values: &[f64], long: &[Range<usize>], least: f64) -> bool {
    let of_so_much = values.iter().filter(|v| **v >= least).count();
    let alike: usize = long.iter().filter(|s| values[s.start] >= least).map(Range::len).sum();
    alike as f64 > NEVER_WANDERS.get() * of_so_much as f64
}

/// The step of the meter: the least by which a reading differs from the one before.
fn step(values: &[f64]) -> Option<f64> {
    let apart = values.windows(2).map(|p| (p[1] - p[0]).abs());
    apart.filter(|step| *step > 0.0).min_by(f64::total_cmp)
}

/// Other stretches of readings alike.
#[derive(Clone, Copy, Default)]
struct Others {
    count: usize,
    readings: usize,
    longest: usize,
}

impl Others {
    fn take(&mut self, more: Self) {
        self.count += more.count;
        self.readings += more.readings;
        self.longest = self.longest.max(more.longest);
    }

    /// Whether so many readings alike are not what such a load gives, if these are the other stretches of all that draws no more: they are as
    /// long as chance has it where one reading is like that before it with a fixed probability (a geometric distribution, whose probability
    /// the lengths give; one is added to either count, the rule of succession). What draws less wanders by fewer steps, and reads alike for longer.
    fn is_unlike(self, alike: usize) -> bool {
        let Self { count, readings, longest } = self;
        let again = (readings - count + 1) as f64 / (readings + 2) as f64;
        let by_chance = count as f64 * again.powf((alike - 1) as f64);
        // What reads alike for long at a time does not change from one reading to the next as chance has it.
        let by_reading = (readings as f64) < SMOOTH.get() * count as f64;
        by_reading
            && count >= STRETCHES.get()
            && alike >= TIMES_LONGER.get() * longest
            && by_chance < BY_CHANCE.get()
    }
}

/// The end of the zeros that stand behind a stretch, perhaps behind a mean of both: the end of the stretch, where there are none, or where
/// they go on for long.
fn zeros_behind(times: &[f64], values: &[f64], end: usize, least: f64) -> usize {
    let between = values.get(end).is_some_and(|v| *v > least && *v < values[end - 1]);
    let from = end + usize::from(between);
    let zeros = values.get(from..).unwrap_or(&[]).iter().take_while(|v| **v <= least).count();
    let lasts = times.get(from + zeros).map_or(f64::INFINITY, |t| t - times[end - 1]);
    if zeros > 0 && lasts <= ZEROS_BEHIND.get() { from + zeros } else { end }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A pump by the minute: 70 W and some, as real ones wander, for an hour; then so many readings alike, and this behind them.
    fn minutes(alike: usize, behind: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let pump = [70.0, 72.0, 71.0, 71.0, 69.0, 73.0].iter().cycle().take(60).copied();
        let still = std::iter::repeat_n(72.0, alike);
        let values: Vec<f64> =
            [0.0, 1.0].into_iter().chain(pump).chain(still).chain(behind.iter().copied()).collect();
        ((0..values.len()).map(|n| n as f64 * 60.0).collect(), values)
    }

    /// From and to of the one stretch that is found.
    fn found(alike: usize, behind: &[f64]) -> (usize, usize) {
        let (times, values) = minutes(alike, behind);
        let still = stands_still(&times, &values, 180.0);
        assert_eq!(still.len(), 1);
        (still[0].start, still[0].end)
    }

    #[test]
    fn a_quarter_of_an_hour_to_the_watt_is_no_pump() {
        assert_eq!(found(15, &[70.0, 71.0]), (63, 77));
    }

    #[test]
    fn a_few_readings_alike_are_a_pump() {
        let (times, values) = minutes(4, &[70.0, 71.0]);
        assert!(stands_still(&times, &values, 180.0).is_empty());
    }

    #[test]
    fn a_pump_that_has_settled_is_no_meter_that_stands_still() {
        let (times, values) = minutes(7, &[2_200.0, 2_190.0]);
        assert!(stands_still(&times, &values, 180.0).is_empty());
    }

    #[test]
    fn zeros_behind_it_say_nothing_until_the_meter_is_back() {
        assert_eq!(found(15, &[36.0, 0.0, 0.0, 0.0, 71.0]), (63, 81));
    }

    #[test]
    fn zeros_to_the_end_are_a_machine_that_has_ended() {
        assert_eq!(found(15, &[0.0, 0.0, 0.0]), (63, 77));
    }

    #[test]
    fn what_always_reads_alike_does_so_for_long() {
        // A second each, 100 W for a hundred seconds at a time.
        let values: Vec<f64> =
            (0..40).flat_map(|n| [100.0 + f64::from(n % 2); 100]).chain([100.0; 400]).collect();
        let times: Vec<f64> = (0..values.len()).map(|n| n as f64).collect();
        assert!(stands_still(&times, &values, 10.0).is_empty());
    }

    /// Two cycles of four loads, each to the watt for as long as it is on.
    #[test]
    fn a_file_in_which_no_load_wanders_is_no_meter_that_stands_still() {
        let starts = [145.0, 130.0, 117.0, 107.0, 97.0, 89.0];
        let cycle = [&starts[..], &[2_083.0; 1_530], &[90.0; 903], &[2_024.0; 1_542], &[0.0; 3_000]].concat();
        let values = cycle.repeat(2);
        let times: Vec<f64> = (0..values.len()).map(|n| n as f64).collect();
        assert!(stands_still(&times, &values, 10.0).is_empty());
    }

    #[test]
    fn a_few_steps_of_the_meter_wander_by_less_than_one() {
        let values: Vec<f64> =
            [9.0, 10.0].into_iter().cycle().take(60).chain([9.0; 60]).chain([0.0]).collect();
        let times: Vec<f64> = (0..values.len()).map(|n| n as f64 * 60.0).collect();
        assert!(stands_still(&times, &values, 180.0).is_empty());
    }
}
