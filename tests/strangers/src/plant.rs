//! The water, the load and the heat: two masses in one tub and a loss to the room.

use crate::water::{density, heat_capacity};

/// Everything that flows into the tub in one step.
#[derive(Clone, Copy, Debug, Default)]
pub struct Flows {
    /// Litres per minute of mains water.
    pub inflow: f64,
    /// Litres per minute that the drain pump would move.
    pub outflow: f64,
    /// Litres per minute from the kept tank into the tub, or from the tub to the tank.
    pub tank_in: f64,
    pub tank_out: f64,
    /// Watts into the water, into the air and load, and of the pump's losses into the water.
    pub heat: f64,
    pub air_heat: f64,
    pub shaft: f64,
    /// How well the water is sprayed over the load, 0 to 1.
    pub spray: f64,
    /// Times the usual loss to the room.
    pub loss_times: f64,
}

/// The state of the tub. Masses in kg, temperatures in degrees Celsius, heat in joules.
#[derive(Clone, Debug)]
pub struct Plant {
    pub water: f64,
    pub celsius: f64,
    pub load_celsius: f64,
    pub room: f64,
    pub supply: f64,
    pub pipe: f64,
    pub pipe_mass: f64,
    pub load_capacity: f64,
    pub loss: f64,
    pub tank: f64,
    pub tank_celsius: f64,
    /// Sums: mains in, sewer out, heat put in, heat lost to the room.
    pub taken: f64,
    pub given: f64,
    pub heat_in: f64,
    pub heat_lost: f64,
}

/// Seconds in which a pipe cools to a third.
const PIPE_COOLS: f64 = 900.0;

impl Plant {
    fn mix_in(&mut self, mass: f64, celsius: f64) {
        let all = self.water + mass;
        if all > 0.0 {
            self.celsius = (self.water * self.celsius + mass * celsius) / all;
        }
        self.water = all;
    }

    fn fill(&mut self, flows: &Flows, dt: f64) {
        if flows.inflow > 0.0 {
            let mass = flows.inflow / 60.0 * dt * density(self.pipe);
            let share = (mass / self.pipe_mass.max(0.05)).min(1.0);
            self.pipe += (self.supply - self.pipe) * share;
            self.taken += mass;
            self.mix_in(mass, self.pipe);
        } else {
            self.pipe += (self.room - self.pipe) * dt / PIPE_COOLS;
        }
        if flows.tank_in > 0.0 {
            let mass = (flows.tank_in / 60.0 * dt).min(self.tank);
            self.tank -= mass;
            self.mix_in(mass, self.tank_celsius);
        }
    }

    fn empty(&mut self, flows: &Flows, dt: f64) {
        let out = (flows.outflow / 60.0 * dt).min(self.water);
        self.water -= out;
        self.given += out;
        let kept = (flows.tank_out / 60.0 * dt).min(self.water);
        if kept > 0.0 {
            let all = self.tank + kept;
            self.tank_celsius = (self.tank * self.tank_celsius + kept * self.celsius) / all;
            self.tank = all;
            self.water -= kept;
        }
    }

    /// One step of `dt` seconds.
    pub fn step(&mut self, flows: &Flows, dt: f64) {
        self.fill(flows, dt);
        self.empty(flows, dt);
        let there = (self.water / 0.3).min(1.0);
        let capacity = self.water.max(0.05) * heat_capacity(self.celsius);
        let touch = (10.0 + 210.0 * flows.spray) * there;
        let over = touch * (self.celsius - self.load_celsius) * dt;
        let into_water = (flows.heat + flows.shaft) * dt * there;
        let beside = flows.air_heat * dt + (flows.heat + flows.shaft) * dt * (1.0 - there);
        let lost = self.loss * flows.loss_times * (self.load_celsius - self.room) * dt;
        self.celsius = (self.celsius + (into_water - over) / capacity).clamp(0.5, 99.0);
        self.load_celsius += (over + beside - lost) / self.load_capacity;
        self.heat_in += into_water + beside;
        self.heat_lost += lost;
        if self.water < 0.02 {
            self.celsius = self.load_celsius.clamp(0.5, 99.0);
        }
    }

    /// Let the tub cool for so many seconds with nothing running.
    pub fn rest(&mut self, seconds: f64) {
        let share = (-seconds * self.loss / self.load_capacity).exp();
        self.load_celsius = self.room + (self.load_celsius - self.room) * share;
        self.celsius = self.load_celsius;
        self.pipe = self.room + (self.pipe - self.room) * (-seconds / PIPE_COOLS).exp();
        let share = (-seconds * 1.2 / 12_000.0).exp();
        self.tank_celsius = self.room + (self.tank_celsius - self.room) * share;
    }
}
