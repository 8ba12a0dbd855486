//! When one thing ended and the next began, as a posterior over the readings beside the change: each of them is the mean of what was drawn in it.

use tubtrace_units::{Load, Loads, Seconds, Watts};

use super::constants::{
    LEVEL_PART, LOOKED_BACK, LOOKED_FORWARD, NO_REST, RAMP_GOES_ON, REST_AT_MOST, REST_USUAL, STRAY_PART,
    SURGE_AT_MOST, SURGE_NEXT,
};
use crate::stats::{median, normal_mad};
use crate::trace::{Step, Trace};

/// A moment, and how well it is known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Moment {
    /// The mean of the posterior, from the first sample of the log.
    pub at: Seconds,
    /// Its standard deviation: the standard uncertainty.
    pub doubt: Seconds,
}

/// Parts of a reading within which a moment is not told apart.
const PARTS: usize = 10;

/// What is less likely than so much of the likeliest is left out.
const NEGLIGIBLE: f64 = 1e-9;

/// Readings from which the level before or behind a change is taken.
const LEVEL_READINGS: usize = 12;

/// What is drawn before a change, or behind it.
#[derive(Clone, Copy)]
struct Level {
    watts: f64,
    spread: f64,
}

impl Level {
    /// Of these readings: half of them and more are not those of the change.
    fn of(steps: &[Step], least: f64) -> Option<Self> {
        let values: Vec<f64> = steps.iter().map(|s| s.power.0).collect();
        if values.is_empty() {
            return None;
        }
        let watts = median(&values);
        Some(Self { watts, spread: normal_mad(&values).max(least).hypot(LEVEL_PART.get() * watts) })
    }
}

/// How a load comes to draw its level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Start {
    /// At once.
    AtOnce,
    /// A motor draws more at first, for a part of a second.
    Surge,
    /// A pump comes up to speed for seconds.
    Ramp,
}

/// A valve or an element, and what goes off.
const AT_ONCE: [(Start, f64); 1] = [(Start::AtOnce, 1.0)];

/// A pump that runs at the speed that the mains give it.
const MOTOR: [(Start, f64); 2] = [(Start::AtOnce, 0.5), (Start::Surge, 0.5)];

/// A pump whose speed may be controlled.
const CONTROLLED: [(Start, f64); 3] = [(Start::AtOnce, 0.4), (Start::Surge, 0.3), (Start::Ramp, 0.3)];

/// How what these loads draw comes to its level where it follows those.
pub(super) fn starts(before: Loads, after: Loads) -> &'static [(Start, f64)] {
    let begins = |load: Load| after.has(load) && !before.has(load);
    if begins(Load::Heater) {
        &AT_ONCE
    } else if begins(Load::WashPump) {
        &CONTROLLED
    } else if begins(Load::DrainPump) {
        &MOTOR
    } else {
        &AT_ONCE
    }
}

/// A change, of which the model says that it is at `at`: something ran, or did not, since `from`, and the next runs, or does not, until `to`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Change {
    pub from: Seconds,
    pub at: Seconds,
    pub to: Seconds,
    /// Whether nothing may run for a while between the two.
    pub rests: bool,
    /// How what begins may come to its level, with the probability of each.
    pub starts: &'static [(Start, f64)],
}

/// When the first ended and when the second began; the same moment, unless both run. None, where readings beside it do not say.
pub(super) fn moments(change: &Change, standby: Watts, trace: &Trace) -> Option<(Moment, Moment)> {
    let resolution = trace.resolution;
    let index = |at: Seconds| trace.steps.partition_point(|s| s.end <= at + resolution * 0.01);
    let (first, at, last) = (index(change.from), index(change.at), index(change.to));
    let steps = |from: usize, to: usize| (from..to).map_while(|i| trace.steps.get(i)).collect::<Vec<Step>>();
    let sides =
        [steps(first.max(at.saturating_sub(LEVEL_READINGS)), at), steps(at, last.min(at + LEVEL_READINGS))];
    let least = resolved(sides.iter().flatten());
    let [before, after] = sides.map(|side| Level::of(&side, least));
    let (before, after) = (before?, after?);
    // No further than the middle of what is before and behind.
    let from =
        first.midpoint(at).max(at.saturating_sub(LOOKED_BACK.get())).min(at.saturating_sub(1)).max(first);
    let to = at.midpoint(last).min(at + LOOKED_FORWARD.get()).max(at + 1).min(last);
    let near = steps(from, to);
    let rest = Level { watts: standby.0, spread: least };
    let greatest = near.iter().map(|s| s.power.0).fold(1.0, f64::max);
    let longest = resolution * 1.5;
    Posterior { before, rest, after, near: &near, greatest, longest }.moments(change)
}

/// The least spread that readings may have: half of the smallest step between two of them. Where there is none, half a watt.
fn resolved<'a>(steps: impl Iterator<Item = &'a Step>) -> f64 {
    let mut powers: Vec<f64> = steps.map(|s| s.power.0).collect();
    powers.sort_by(f64::total_cmp);
    let apart = powers.windows(2).map(|w| w[1] - w[0]).filter(|d| *d > 0.05);
    (0.5 * apart.fold(1.0, f64::min)).max(0.3)
}

struct Posterior<'a> {
    before: Level,
    rest: Level,
    after: Level,
    near: &'a [Step],
    /// No reading is greater.
    greatest: f64,
    /// No reading that holds for longer has a change in it: it was held because nothing changed.
    longest: Seconds,
}

impl Posterior<'_> {
    /// The moment when the first ended and that when the second began.
    fn moments(&self, change: &Change) -> Option<(Moment, Moment)> {
        let rests = change.rests;
        let mut sums = Sums::default();
        let before = self.before();
        let settled = self.settled();
        for &(start, share) in change.starts {
            let behind = self.behind(start, &settled);
            let both = |k: usize| before[k] * behind[k + 1];
            let negligible = NEGLIGIBLE * (0..self.near.len()).map(both).fold(0.0, f64::max);
            for (k, reading) in self.near.iter().enumerate() {
                if both(k) > negligible {
                    self.in_one(&mut sums, k, start, (share * both(k), rests));
                }
                if rests && reading.duration() <= self.longest {
                    self.in_several(&mut sums, k, start, (share * before[k], &behind, negligible));
                }
            }
        }
        (sums.weight > 0.0).then(|| sums.moments(self.near))
    }

    /// Both moments lie in one reading.
    fn in_one(&self, sums: &mut Sums, k: usize, start: Start, (weight, rests): (f64, bool)) {
        let lasts = self.near[k].duration().0;
        let none = if rests { NO_REST.get() } else { 1.0 };
        if self.near[k].duration() > self.longest {
            let start_of_it = self.near[k].start.0;
            let like = self.mixed(k, 0.0, 1.0, start) * self.longest.0;
            return sums.add(weight * like, start_of_it, start_of_it);
        }
        let each = (1.0 - NO_REST.get()) / PARTS as f64;
        for i in 0..PARTS {
            let (a, off) = (place(i), self.at(k, i));
            sums.add(weight * none * self.mixed(k, a, 1.0 - a, start) * lasts, off, off);
            for j in (i + 1..PARTS).filter(|_| rests) {
                let like =
                    self.mixed(k, a, 1.0 - place(j), start) * lasts * lasts * rest(self.at(k, j) - off);
                sums.add(weight * each * like, off, self.at(k, j));
            }
        }
    }

    /// The first lies in this reading, and the second in one behind it, with a rest between.
    fn in_several(
        &self,
        sums: &mut Sums,
        k: usize,
        start: Start,
        (weight, behind, negligible): (f64, &[f64], f64),
    ) {
        let lasts = self.near[k].duration().0;
        let each = (1.0 - NO_REST.get()) * lasts / PARTS as f64;
        let mut resting = weight * each;
        for m in k + 1..self.near.len() {
            if self.near[m].start.0 - self.at(k, PARTS - 1) > REST_AT_MOST.get().0 {
                break;
            }
            if resting * behind[m + 1] > negligible * each && self.near[m].duration() <= self.longest {
                let lasts = self.near[m].duration().0;
                let on: [f64; PARTS] =
                    std::array::from_fn(|j| self.mixed(m, 0.0, 1.0 - place(j), start) * lasts);
                for i in 0..PARTS {
                    let (off, ends) = (self.at(k, i), self.mixed(k, place(i), 0.0, start));
                    let within = |j: &usize| self.at(m, *j) - off <= REST_AT_MOST.get().0;
                    for j in (0..PARTS).filter(within) {
                        let on_at = self.at(m, j);
                        sums.add(resting * ends * on[j] * behind[m + 1] * rest(on_at - off), off, on_at);
                    }
                }
            }
            resting *= self.density(m, self.rest.watts, self.rest.spread);
        }
    }

    /// The moment in the middle of a part of a reading.
    fn at(&self, reading: usize, part: usize) -> f64 {
        self.near[reading].start.0 + place(part) * self.near[reading].duration().0
    }

    /// Density of all readings before each.
    fn before(&self) -> Vec<f64> {
        let mut before = vec![1.0];
        for k in 0..self.near.len() {
            before.push(before[k] * self.density(k, self.before.watts, self.before.spread));
        }
        before
    }

    /// Density of all readings from each on, where the second draws its level.
    fn settled(&self) -> Vec<f64> {
        let mut settled = vec![1.0; self.near.len() + 2];
        for k in (0..self.near.len()).rev() {
            settled[k] = settled[k + 1] * self.density(k, self.after.watts, self.after.spread);
        }
        settled
    }

    /// The same where it has begun to in the reading before.
    fn behind(&self, start: Start, settled: &[f64]) -> Vec<f64> {
        let n = self.near.len();
        let level = self.level();
        let mut behind = settled.to_vec();
        match start {
            Start::AtOnce => {}
            Start::Surge => {
                for k in 0..n {
                    let surges = self.within(k, self.after.watts - 0.1 * level, SURGE_NEXT.get() * level);
                    behind[k] = 0.5 * settled[k] + 0.5 * surges * settled[k + 1];
                }
            }
            Start::Ramp => {
                for k in (0..n).rev() {
                    let goes_on =
                        (1.0 - RAMP_GOES_ON.get()) * settled[k + 1] + RAMP_GOES_ON.get() * behind[k + 1];
                    behind[k] = self.within(k, self.rest.watts, level) * goes_on;
                }
            }
        }
        behind
    }

    /// What the second draws above a rest.
    fn level(&self) -> f64 {
        (self.after.watts - self.rest.watts).max(self.after.spread)
    }

    /// Density of a reading in a part of which the first was drawn, and in a part the second.
    fn mixed(&self, k: usize, first: f64, second: f64, start: Start) -> f64 {
        let low = self.rest.watts + first * (self.before.watts - self.rest.watts);
        let spread = self.before.spread.max(self.after.spread);
        let level = self.after.watts - self.rest.watts;
        if second == 0.0 {
            return self.density(k, low, spread);
        }
        match start {
            Start::AtOnce => self.density(k, low + second * level, spread),
            Start::Surge => {
                self.within(k, low + second * level, self.level() * (2.0 * second).min(SURGE_AT_MOST.get()))
            }
            Start::Ramp => {
                let next = self.near.get(k + 1).map_or(level, |s| s.power.0 - self.rest.watts);
                self.within(k, low, second * next.min(self.level()).max(self.after.spread))
            }
        }
    }

    /// Probability density of a reading where `watts` are drawn; a small part of them are strays.
    fn density(&self, k: usize, watts: f64, spread: f64) -> f64 {
        let z = (self.near[k].power.0 - watts) / spread;
        let normal = (-0.5 * z * z).exp() / (spread * (2.0 * std::f64::consts::PI).sqrt());
        normal + STRAY_PART.get() / self.greatest
    }

    /// The same where anything between `low` and so much more is drawn.
    fn within(&self, k: usize, low: f64, width: f64) -> f64 {
        let spread = self.after.spread.max(self.before.spread);
        let below = |x: f64| 0.5 * libm::erfc(-x / spread / std::f64::consts::SQRT_2);
        let reading = self.near[k].power.0;
        let even = below(reading - low) - below(reading - low - width);
        even.max(0.0) / width.max(f64::MIN_POSITIVE) + STRAY_PART.get() / self.greatest
    }
}

/// Density of a rest of so many seconds, a second.
fn rest(lasts: f64) -> f64 {
    (-lasts / REST_USUAL.get().0).exp() / REST_USUAL.get().0
}

/// The middle of a part of a reading.
fn place(part: usize) -> f64 {
    (part as f64 + 0.5) / PARTS as f64
}

#[derive(Default)]
struct Sums {
    weight: f64,
    off: (f64, f64),
    on: (f64, f64),
    origin: Option<f64>,
}

impl Sums {
    fn add(&mut self, weight: f64, off: f64, on: f64) {
        let origin = *self.origin.get_or_insert(off);
        let (off, on) = (off - origin, on - origin);
        self.weight += weight;
        self.off = (self.off.0 + weight * off, self.off.1 + weight * off * off);
        self.on = (self.on.0 + weight * on, self.on.1 + weight * on * on);
    }

    fn moments(&self, near: &[Step]) -> (Moment, Moment) {
        let part = near.first().map_or(0.0, |s| s.duration().0) / PARTS as f64;
        let moment = |(sum, squares): (f64, f64)| {
            let mean = sum / self.weight;
            let variance = (squares / self.weight - mean * mean).max(0.0) + part * part / 12.0;
            Moment { at: Seconds(self.origin.unwrap_or(0.0) + mean), doubt: Seconds(variance.sqrt()) }
        };
        (moment(self.off), moment(self.on))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{STANDBY, trace};

    fn found(readings: &[(u32, f64)], off: Loads, on: Loads, at: f64) -> (Moment, Moment) {
        let lasts: u32 = readings.iter().map(|r| r.0).sum();
        let steps: Vec<(u32, f64)> =
            readings.iter().flat_map(|&(n, watts)| (0..n).map(move |_| (1, watts))).collect();
        let change = Change {
            from: Seconds(0.0),
            at: Seconds(at),
            to: Seconds(f64::from(lasts)),
            rests: off != on && !off.is_empty() && !on.is_empty() && !on.has(Load::Heater),
            starts: starts(off, on),
        };
        moments(&change, Watts(STANDBY), &trace(&steps)).unwrap()
    }

    /// By hand: of a reading between 152 and 2,152 W that is 1,152 W, half is before an element and half behind it.
    #[test]
    fn an_element_is_on_for_its_part_of_a_reading() {
        let wash = Loads::of(&[Load::WashPump]);
        let (off, on) =
            found(&[(60, 152.0), (1, 1_152.0), (60, 2_152.0)], wash, wash.with(Load::Heater, true), 60.0);
        assert_eq!(off, on);
        assert!((on.at.0 - 60.5).abs() < 0.06 && on.doubt.0 < 0.2, "{on:?}");
    }

    /// By hand, over 2 W of standby: 30 W until 60.4 s, nothing, and a valve of 8 W from 61.5 s on.
    #[test]
    fn a_rest_is_part_of_neither() {
        let (drain, fill) = (Loads::of(&[Load::DrainPump]), Loads::of(&[Load::FillValve]));
        let (off, on) = found(&[(60, 32.0), (1, 14.0), (1, 6.0), (60, 10.0)], drain, fill, 61.0);
        assert!((off.at.0 - 60.4).abs() < 0.06 && (on.at.0 - 61.5).abs() < 0.1, "{off:?} {on:?}");
    }
}
