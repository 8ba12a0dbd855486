//! What goes over between cycles, and the conditions that a cycle finds.

use crate::clock::ticks;
use crate::cycle::Conditions;
use crate::machine::Machine;
use crate::plant::Plant;
use crate::rng::Rng;
use crate::sim::Day;

/// What goes over from cycle to cycle and from day to day.
pub struct Carry {
    pub plant: Plant,
    pub count: usize,
    pub seed: u64,
}

impl Carry {
    /// A machine that has stood for long. Each kind has days of its own under one seed.
    pub fn new(m: &Machine, seed: u64) -> Carry {
        let seed = crate::rng::Rng::stream(seed, m.kind, 1, 0).number();
        let plant = Plant {
            water: 0.0,
            celsius: 20.0,
            load_celsius: 20.0,
            room: 20.0,
            supply: m.supply.celsius,
            pipe: 20.0,
            pipe_mass: m.supply.pipe_litres,
            load_capacity: 10_000.0,
            loss: m.loss,
            tank: 0.0,
            tank_celsius: 20.0,
            taken: 0.0,
            given: 0.0,
            heat_in: 0.0,
            heat_lost: 0.0,
        };
        Carry { plant, count: 0, seed }
    }

    /// The conditions of the next cycle after a rest.
    pub fn conditions(&mut self, m: &Machine, extra: f64, rest: f64, day: u64) -> Conditions {
        let n = self.count as u64;
        let mut r = Rng::stream(self.seed, "cycle", day, n);
        let mut plant = self.plant.clone();
        plant.room = r.range(17.0, 25.0);
        plant.supply = r.normal(m.supply.celsius, m.supply.spread).max(4.0);
        plant.rest(rest);
        let filled = r.range(0.4, 1.0);
        plant.load_capacity = 1000.0 * (m.tub_kj + m.dishes_kj * filled);
        (plant.taken, plant.given, plant.heat_in, plant.heat_lost) = (0.0, 0.0, 0.0, 0.0);
        let turn = m.softener.is_some_and(|s| self.count % s.every == s.every / 2);
        let conditions = Day {
            flow: r.normal(1.0, 0.03),
            head: r.normal(1.0, 0.06),
            volts: r.normal(0.0, 0.011),
            dirty: r.chance(extra),
            regenerate: turn,
        };
        let door = r.chance(0.07).then(|| (r.range(0.05, 0.8), ticks(r.range(15.0, 240.0))));
        let rng = Rng::stream(self.seed, "run", day, n);
        Conditions { plant, day: conditions, door, rng }
    }
}
