//! What pickups on the supply line and on the drain hose hear: flow noise and motor hum.

use crate::frame::{Frame, Load};
use crate::machine::Machine;
use crate::rng::Rng;

/// Noise through a band, by two first-order filters.
struct Band {
    fast: f64,
    slow: f64,
    high: f64,
    low: f64,
}

impl Band {
    fn new(low_hertz: f64, high_hertz: f64, rate: f64) -> Band {
        let share = |f: f64| 1.0 - (-std::f64::consts::TAU * f / rate).exp();
        Band { fast: 0.0, slow: 0.0, high: share(high_hertz), low: share(low_hertz) }
    }

    fn next(&mut self, white: f64) -> f64 {
        self.fast += (white - self.fast) * self.high;
        self.slow += (self.fast - self.slow) * self.low;
        (self.fast - self.slow) * 2.0
    }
}

/// One pickup.
pub struct Pickup {
    band: Band,
    /// How loud flow, the hum of either pump, the valve and the background are.
    flow: f64,
    wash_hum: f64,
    drain_hum: f64,
    valve_hum: f64,
    floor: f64,
    /// Slow change of the flow noise.
    sway: f64,
    gurgle: f64,
    rotor: f64,
    rotor_hertz: f64,
    /// A ring after the valve shuts.
    ring: f64,
    ring_angle: f64,
    ring_hertz: f64,
    flowed: bool,
    rate: f64,
    rng: Rng,
}

impl Pickup {
    fn new(m: &Machine, rate: f64, mut r: Rng) -> Pickup {
        let low = r.range(90.0, 300.0);
        let high = r.range(700.0, 1900.0);
        Pickup {
            band: Band::new(low, high, rate),
            flow: r.range(0.05, 0.16),
            wash_hum: r.range(0.002, 0.012),
            drain_hum: r.range(0.002, 0.006),
            valve_hum: r.range(0.003, 0.02),
            floor: r.range(0.0006, 0.003),
            sway: 0.0,
            gurgle: 0.0,
            rotor: 0.0,
            // Two poles and some slip.
            rotor_hertz: m.hertz * r.range(0.93, 0.98),
            ring: 0.0,
            ring_angle: 0.0,
            ring_hertz: r.range(25.0, 90.0),
            flowed: false,
            rate,
            rng: r,
        }
    }

    /// A pickup on the supply line.
    pub fn supply(m: &Machine, rate: f64, r: Rng) -> Pickup {
        Pickup::new(m, rate, r)
    }

    /// A pickup on the drain hose: no valve to hear, the drain pump near.
    pub fn drain(m: &Machine, rate: f64, mut r: Rng) -> Pickup {
        let near = r.range(0.015, 0.06);
        let mut p = Pickup::new(m, rate, r);
        p.valve_hum = 0.0;
        p.drain_hum = near;
        p
    }

    fn hum(&mut self, f: &Frame, m: &Machine, mains: f64) -> f64 {
        let on = |load: Load| f.watts[load as usize] > 0.05;
        self.rotor += std::f64::consts::TAU * self.rotor_hertz / self.rate;
        let twice = (2.0 * mains).sin() + 0.3 * (4.0 * mains).sin();
        let mut sum = 0.0;
        if on(Load::WashPump) {
            let turns = f64::from(f.speed).max(0.05);
            let effort = f64::from(f.watts[Load::WashPump as usize]) / m.wash.watts;
            sum += self.wash_hum * effort.sqrt() * (twice + 0.6 * (self.rotor * turns).sin());
        }
        if on(Load::DrainPump) {
            sum += self.drain_hum * (twice + 0.4 * mains.sin());
        }
        if on(Load::FillValve) {
            sum += self.valve_hum * twice;
        }
        sum
    }

    /// One sample for litres per minute of a usual flow, and how much of it is air.
    pub fn sample(&mut self, f: &Frame, m: &Machine, mains: f64, flow: f64, air: f64) -> f64 {
        let white = self.rng.normal(0.0, 1.0);
        self.sway += -self.sway / (0.7 * self.rate) + self.rng.normal(0.0, 0.006);
        self.gurgle += (self.rng.normal(0.0, 1.0) - self.gurgle) * (24.0 / self.rate);
        if self.flowed && flow < 0.02 {
            self.ring = self.flow * 2.0;
            self.ring_angle = 0.0;
        }
        self.flowed = flow >= 0.02;
        let gurgling = 1.0 + 6.0 * air * self.gurgle.abs() * 2.0;
        let loud = flow.max(0.0).powf(1.5) * (1.0 + self.sway).max(0.1) * gurgling;
        let noise = self.band.next(white) * self.flow * (loud + 0.25 * air);
        self.ring *= 1.0 - 14.0 / self.rate;
        self.ring_angle += std::f64::consts::TAU * self.ring_hertz / self.rate;
        let ring = self.ring * self.ring_angle.sin();
        let floor = self.rng.normal(0.0, self.floor);
        noise + ring + self.hum(f, m, mains) + floor
    }
}
