//! A thermistor clipped on a hose: it lags the water, and is a little off.

use rand::RngExt;
use tubtrace_units::{Celsius, Seconds};

use crate::random::Random;

#[derive(Debug)]
pub(super) struct Clip {
    temperature: Celsius,
    lag: Seconds,
    offset: Celsius,
}

impl Clip {
    pub fn new(room: Celsius, random: &mut Random) -> Self {
        Self {
            temperature: room,
            lag: Seconds(random.random_range(11.0..26.0)),
            offset: Celsius(random.random_range(-0.3..0.3)),
        }
    }

    /// The converter's code, a second after the last.
    pub fn read(&mut self, water: Celsius, random: &mut Random) -> i16 {
        self.temperature += (water - self.temperature) * (1.0 - (-1.0 / self.lag.0).exp());
        let ohms = resistance(self.temperature + self.offset);
        (32_768.0 * ohms / (ohms + 10_000.0)).round() as i16 + random.random_range(-6..=6)
    }
}

/// The Steinhart-Hart equation solved for R (the closed form that goes with it), coefficients as in firmware/core.
fn resistance(temperature: Celsius) -> f64 {
    let (a, b, c) = (1.129_24e-3, 2.341_08e-4, 0.877_55e-7);
    let y = (a - 1.0 / (temperature.0 + 273.15)) / (2.0 * c);
    let x = ((b / (3.0 * c)).powi(3) + y * y).sqrt();
    ((x - y).cbrt() - (x + y).cbrt()).exp()
}
