//! The mains of a house: volts that wander, neighbours that switch, a frequency that is never quite nominal.

use rand::RngExt;
use tubtrace_units::{Hertz, Volts};

use crate::random::Random;

#[derive(Debug)]
pub(super) struct House {
    nominal: Volts,
    frequency: Hertz,
    /// Of nominal: the slow wander, and what the neighbours' loads take away.
    wander: f64,
    neighbours: f64,
    own_sag: f64,
    detune: f64,
    phase: u32,
}

impl House {
    pub fn new(nominal: Volts, frequency: Hertz, random: &mut Random) -> Self {
        Self {
            nominal,
            frequency,
            wander: random.random_range(-0.02..0.02),
            neighbours: 0.0,
            own_sag: 0.0,
            detune: 0.0,
            phase: random.random(),
        }
    }

    pub fn volts(&self) -> Volts {
        self.nominal * (1.0 + self.wander - self.neighbours - self.own_sag)
    }

    /// Ten milliseconds pass: volts and frequency wander on.
    pub fn drift(&mut self, heater: bool, random: &mut Random) {
        // A wander of about 1 % over minutes.
        self.wander += -self.wander * 2e-5 + random.random_range(-1.0..1.0) * 1e-4;
        // Somebody's kettle, every ten minutes or so.
        if random.random_bool(1.0 / 60_000.0) {
            self.neighbours = random.random_range(0.0..0.015);
        }
        self.own_sag = if heater { 0.012 } else { 0.0 };
        self.detune += -self.detune * 1e-4 + random.random_range(-1.0..1.0) * 5e-4;
    }

    /// How far the phase turns in one sample.
    pub fn phase_step(&self) -> u32 {
        let hertz = self.frequency.0 + self.detune;
        (hertz / f64::from(tubtrace_core::SAMPLE_RATE) * 4_294_967_296.0) as u32
    }

    #[inline]
    pub fn turn(&mut self, step: u32) -> u32 {
        self.phase = self.phase.wrapping_add(step);
        self.phase
    }
}
