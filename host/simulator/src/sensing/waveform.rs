//! The current in the conductor under the clamp: all loads' harmonics, with their inrush.

use std::f64::consts::TAU;

use tubtrace_units::{Load, Volts};

use super::tables::{SINE, sine};
use crate::machine::{Appliance, Draw, Moment, STEP};

/// The harmonics that are made.
const ORDERS: [u32; 5] = [1, 2, 3, 5, 7];

/// (amplitude, degrees) of each harmonic, of a load that draws 1 A at once the mains frequency; inrush as a
/// multiple at switch-on, and its decay in seconds. Shapes are typical of such loads; common practice, no source.
fn shape(draw: Draw) -> ([(f64, f64); 5], f64, f64) {
    match draw {
        Draw::Resistive => ([(1.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0)], 1.0, 1.0),
        Draw::Induction => {
            ([(0.996, -48.0), (0.004, 10.0), (0.08, 20.0), (0.03, 70.0), (0.01, 0.0)], 4.5, 0.16)
        }
        Draw::Rectified => {
            ([(0.75, -6.0), (0.01, 0.0), (0.52, 165.0), (0.31, -20.0), (0.14, 140.0)], 3.0, 0.06)
        }
        Draw::Synchronous => {
            ([(0.985, -58.0), (0.06, 35.0), (0.12, -15.0), (0.03, 40.0), (0.01, 0.0)], 1.8, 0.05)
        }
        Draw::ShadedPole => {
            ([(0.98, -62.0), (0.01, 5.0), (0.18, -40.0), (0.05, 60.0), (0.01, 0.0)], 1.3, 0.08)
        }
        Draw::Solenoid => ([(0.985, -61.0), (0.01, 0.0), (0.15, 30.0), (0.04, 10.0), (0.01, 0.0)], 2.0, 0.03),
    }
}

#[derive(Debug)]
struct Source {
    load: Load,
    /// (in phase, in quadrature) of each harmonic, amperes RMS at nominal volts.
    parts: [(f64, f64); 5],
    resistive: bool,
    inrush: f64,
    decay: f64,
    /// Since it was switched on; `None` while it is off.
    on_for: Option<f64>,
}

#[derive(Debug)]
pub(super) struct Waveform {
    nominal: Volts,
    sources: Vec<Source>,
    /// Amplitude and phase offset of each harmonic now.
    now: [(f32, u32); 5],
}

impl Waveform {
    pub fn new(appliance: &Appliance) -> Self {
        let sources = Load::ALL
            .into_iter()
            .filter_map(|load| {
                let rating = appliance.rating(load)?;
                let (harmonics, inrush, decay) = shape(rating.draw);
                let parts = harmonics.map(|(a, degrees)| {
                    let (sin, cos) = degrees.to_radians().sin_cos();
                    (rating.amps.0 * a * cos, rating.amps.0 * a * sin)
                });
                let resistive = rating.draw == Draw::Resistive;
                Some(Source { load, parts, resistive, inrush, decay, on_for: None })
            })
            .collect();
        Self { nominal: appliance.volts, sources, now: [(0.0, 0); 5] }
    }

    pub fn heater_on(&self) -> bool {
        self.sources.iter().any(|s| s.load == Load::Heater && s.on_for.is_some())
    }

    /// Sums what is on into one amplitude and phase for each harmonic, good for 10 ms.
    pub fn prepare(&mut self, moment: &Moment, volts: Volts) {
        let high = volts / self.nominal * moment.mains;
        // Without mains there is no control either.
        let alive = if moment.mains > 0.0 { 1.0 } else { 0.0 };
        let mut sums = [(0.0, 0.0); 5];
        // The control board's own supply: 12 mA, peaky.
        let standby = shape(Draw::Rectified).0;
        for (sum, (a, degrees)) in sums.iter_mut().zip(standby) {
            let (sin, cos) = f64::to_radians(degrees).sin_cos();
            *sum = (0.012 * alive * a * cos, 0.012 * alive * a * sin);
        }
        for source in &mut self.sources {
            if !moment.loads.has(source.load) {
                source.on_for = None;
                continue;
            }
            let on_for = source.on_for.map_or(0.0, |t| t + STEP.0);
            source.on_for = Some(on_for);
            let inrush = 1.0 + (source.inrush - 1.0) * (-on_for / source.decay).exp();
            let part = match source.load {
                Load::Heater => moment.heater_part,
                Load::WashPump => moment.pump_part,
                _ => 1.0,
            };
            // A motor's current hardly follows the volts; a resistor's does.
            let follows = if source.resistive { high } else { high.sqrt() };
            let scale = inrush * part * follows;
            for (sum, (re, im)) in sums.iter_mut().zip(source.parts) {
                *sum = (sum.0 + re * scale, sum.1 + im * scale);
            }
        }
        self.now = sums.map(|(re, im)| {
            let turns = im.atan2(re) / TAU;
            ((re.hypot(im) * std::f64::consts::SQRT_2) as f32, (turns * 4_294_967_296.0) as i64 as u32)
        });
    }

    /// Amperes at a phase of the mains.
    #[inline]
    pub fn sample(&self, phase: u32) -> f32 {
        let table = &SINE;
        let mut sum = 0.0;
        for (order, (amplitude, offset)) in ORDERS.into_iter().zip(self.now) {
            sum += amplitude * sine(table, phase.wrapping_mul(order).wrapping_add(offset));
        }
        sum
    }
}
