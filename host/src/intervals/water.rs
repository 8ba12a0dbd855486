//! Water: how long it came in, which with the flow of the valve is its volume; and by heat, what the heater gave against how
//! much warmer the water left than it came.

use tubtrace_units::{Celsius, Joules, Litres, LitresPerMinute, Seconds, Watts};

use super::constants::{LEAST_RISE, POWER_SPREAD};
use super::cycle::Cycle;
use super::interval::Interval;
use super::kind::Kind;
use crate::stats::weighted_median;

/// (degrees C, density in kg/m3, specific heat in J/(kg K)) of water at 101.325 kPa: IAPWS-IF97.
const IAPWS: [(f64, f64, f64); 11] = [
    (0.0, 999.844, 4_219.4),
    (10.0, 999.702, 4_195.4),
    (20.0, 998.206, 4_184.8),
    (30.0, 995.652, 4_180.0),
    (40.0, 992.224, 4_178.6),
    (50.0, 988.047, 4_179.6),
    (60.0, 983.211, 4_182.8),
    (70.0, 977.779, 4_188.1),
    (80.0, 971.803, 4_195.5),
    (90.0, 965.319, 4_205.0),
    (99.0, 959.072, 4_215.4),
];

/// Heat that warms a litre of water by a degree, J/(L K); temperatures outside the table take its end.
fn heat_capacity(at: Celsius) -> f64 {
    let above = IAPWS.partition_point(|row| row.0 <= at.0).clamp(1, IAPWS.len() - 1);
    let ((t0, d0, c0), (t1, d1, c1)) = (IAPWS[above - 1], IAPWS[above]);
    let part = ((at.0 - t0) / (t1 - t0)).clamp(0.0, 1.0);
    (d0 + part * (d1 - d0)) * (c0 + part * (c1 - c0)) / 1_000.0
}

/// The water of one part of a cycle, as heat gives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatedWater {
    /// Number of the water within its cycle.
    pub water: u32,
    /// At most so much: tub, racks and load take some of the heat, and the room some.
    pub at_most: Litres,
    /// Expanded uncertainty (k = 2).
    pub uncertainty: Litres,
}

impl HeatedWater {
    /// What came in a minute of filling by this volume, and its expanded uncertainty: more than the valve gives, by what tub and
    /// load take of the heat, and by the same part from cycle to cycle.
    #[must_use]
    pub fn inflow(&self, filled: Seconds) -> (LitresPerMinute, LitresPerMinute) {
        let minutes = filled.0.max(1.0) / 60.0;
        (LitresPerMinute(self.at_most.0 / minutes), LitresPerMinute(self.uncertainty.0 / minutes))
    }
}

/// For each water of a cycle how long the valve was open before the pump ran, if it was seen to be. Purges, which bring water
/// and take it away again, are not in it.
#[must_use]
pub fn filled(cycle: &Cycle) -> Vec<(u32, Seconds)> {
    let last = cycle.intervals.last().map_or(0, |i| i.water);
    let fills = |water| of_water(&cycle.intervals, water).iter().filter(|i| i.kind == Kind::Fill);
    let time = |water| fills(water).map(Interval::duration).sum::<Seconds>();
    (1..=last).map(|water| (water, time(water))).filter(|(_, time)| *time > Seconds(0.0)).collect()
}

/// The intervals of one water: waters are numbered in order.
pub(crate) fn of_water(intervals: &[Interval], water: u32) -> &[Interval] {
    let first = intervals.partition_point(|i| i.water < water);
    &intervals[first..intervals.partition_point(|i| i.water <= water)]
}

/// The waters of a cycle whose temperatures at fill and drain are both known, and which were heated.
#[must_use]
pub fn heated_waters(cycle: &Cycle) -> Vec<HeatedWater> {
    let all = |kind: Kind| cycle.intervals.iter().filter(move |i| i.kind == kind);
    let Some(pump) = weighted_median(all(Kind::Wash).map(|i| (i.measured.power.0, i.duration().0))) else {
        return Vec::new();
    };
    let last = cycle.intervals.last().map_or(0, |i| i.water);
    (1..=last).filter_map(|water| heated(&cycle.intervals, water, Watts(pump))).collect()
}

fn heated(intervals: &[Interval], water: u32, pump: Watts) -> Option<HeatedWater> {
    let own = of_water(intervals, water);
    let of = |kind: Kind| own.iter().filter(move |i| i.kind == kind);
    let came = of(Kind::Fill).find_map(|i| i.measured.supply)?;
    let left = of(Kind::Drain).find_map(|i| i.measured.drain)?;
    let energy: Joules = of(Kind::Heat).map(|i| (i.measured.power - pump).during(i.duration())).sum();
    let rise = left.water - came.water;
    if rise < LEAST_RISE.get() || energy.0 <= 0.0 {
        return None;
    }
    let capacity = heat_capacity((left.water + came.water) / 2.0);
    let litres = energy.0 / (capacity * rise.0);
    // Relative variances add: of the power, and of the difference of two temperatures.
    let temperatures = came.uncertainty.0.hypot(left.uncertainty.0) / 2.0 / rise.0;
    let uncertainty = Litres(2.0 * litres * POWER_SPREAD.get().hypot(temperatures));
    Some(HeatedWater { water, at_most: Litres(litres), uncertainty })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Density and specific heat by IAPWS-IF97 at 101.325 kPa, computed with the package iapws 1.5.5
    /// (`tests/references/water.py`) at temperatures that are not in the table.
    #[test]
    fn agrees_with_iapws() {
        let reference = [
            (4.0, 999.975, 4_207.4),
            (15.0, 999.101, 4_189.1),
            (25.0, 997.048, 4_181.9),
            (37.0, 993.336, 4_178.7),
            (49.0, 988.496, 4_179.4),
            (65.0, 980.566, 4_185.2),
            (88.0, 966.655, 4_203.0),
        ];
        for (t, density, specific_heat) in reference {
            let expected = density * specific_heat / 1_000.0;
            let found = heat_capacity(Celsius(t));
            assert!((found / expected - 1.0).abs() < 5e-4, "{t}: {found} for {expected}");
        }
    }
}
