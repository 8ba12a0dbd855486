//! The current that the loads draw together, in amperes.

use crate::frame::{ALL, LOADS, Load};
use crate::machine::{Machine, Motor, Source};
use crate::rng::Rng;

/// The shape of a load's current.
#[derive(Clone, Copy, Debug)]
enum Shape {
    /// A sine that lags by an angle, with a third harmonic as a share and its own angle.
    Sine { lag: f64, third: f64, third_lag: f64 },
    /// Pulses near the crest of the voltage, of a rectifier with a capacitor.
    Pulses { over: f64, before: f64, gain: f64 },
}

/// The waveforms of a machine's loads and of the mains.
pub struct Current {
    shapes: [Shape; LOADS],
    volts: f64,
    hertz: f64,
    angle: f64,
    fifth: f64,
    fifth_angle: f64,
    capacitor: f64,
    last: [f64; LOADS],
    rng: Rng,
}

fn pulses(over: f64, before: f64) -> Shape {
    // The gain makes the mean of volts times amperes one watt for one volt at the crest.
    let steps = 3600;
    let mut mean = 0.0;
    for n in 0..steps {
        let a = std::f64::consts::TAU * f64::from(n) / f64::from(steps);
        mean += a.sin() * pulse(a, over, before) / f64::from(steps);
    }
    Shape::Pulses { over, before, gain: 1.0 / mean }
}

fn pulse(angle: f64, over: f64, before: f64) -> f64 {
    let s = (angle + before).sin();
    s.signum() * ((s.abs() - over) / (1.0 - over)).max(0.0)
}

fn shape(m: &Machine, load: Load, r: &mut Rng) -> Shape {
    let sine = |degrees: f64, third: f64, r: &mut Rng| Shape::Sine {
        lag: degrees.to_radians(),
        third,
        third_lag: r.range(0.0, 3.0),
    };
    let motor = |motor: Motor, degrees: f64, r: &mut Rng| match motor {
        Motor::Inverter => {
            let (over, before) = (r.range(0.55, 0.85), r.range(0.0, 0.25));
            pulses(over, before)
        }
        Motor::Induction => {
            let third = r.range(0.02, 0.08);
            sine(degrees, third, r)
        }
        Motor::ShadedPole => {
            let third = r.range(0.1, 0.22);
            sine(degrees, third, r)
        }
        Motor::Synchronous => {
            let third = r.range(0.03, 0.15);
            sine(degrees, third, r)
        }
    };
    match load {
        Load::WashPump => motor(m.wash.motor, m.wash.lag_degrees, r),
        Load::DrainPump => motor(m.drain.motor, m.drain.lag_degrees, r),
        Load::Heater if m.heater.source == Source::HeatPump => motor(Motor::Induction, 34.0, r),
        Load::Heater | Load::DryHeater => sine(0.0, 0.0, r),
        Load::Control | Load::Fan => pulses(0.8, 0.15),
        Load::Vent => sine(0.0, 0.0, r),
        _ => {
            let degrees = r.range(45.0, 68.0);
            sine(degrees, 0.08, r)
        }
    }
}

impl Current {
    /// The waveforms of a machine; the seed decides what the machine's model leaves open.
    pub fn new(m: &Machine, mut r: Rng) -> Current {
        let shapes = ALL.map(|load| shape(m, load, &mut r));
        Current {
            shapes,
            volts: m.volts,
            hertz: m.hertz,
            angle: 0.0,
            fifth: r.range(0.0, 0.03),
            fifth_angle: r.range(0.0, 6.0),
            // The interference capacitor draws a leading current all the time.
            capacitor: r.range(0.1e-6, 0.47e-6),
            last: [0.0; LOADS],
            rng: r,
        }
    }

    /// The angle of the mains voltage now.
    pub fn angle(&self) -> f64 {
        self.angle
    }

    /// One sample, with the watts of the loads at this moment.
    pub fn sample(&mut self, watts: &[f32; LOADS], rate: f64) -> f64 {
        let tau = std::f64::consts::TAU;
        let wander = 1.0 + self.rng.normal(0.0, 0.0004);
        self.angle = (self.angle + tau * self.hertz * wander / rate) % tau;
        let a = self.angle;
        let mains = a.sin() + self.fifth * (5.0 * a + self.fifth_angle).sin();
        let mut amperes = 2f64.sqrt() * self.volts * tau * self.hertz * self.capacitor * a.cos();
        for (n, shape) in self.shapes.iter().enumerate() {
            // The watts of a tick are approached within some milliseconds.
            self.last[n] += (f64::from(watts[n]) - self.last[n]) * 0.03;
            let w = self.last[n];
            if w < 0.01 {
                continue;
            }
            amperes += match *shape {
                Shape::Sine { lag, third, third_lag } => {
                    let crest = 2f64.sqrt() * w / (self.volts * lag.cos());
                    let base = if lag == 0.0 { mains } else { (a - lag).sin() };
                    crest * (base + third * (3.0 * a - third_lag).sin())
                }
                Shape::Pulses { over, before, gain } => {
                    w / (2f64.sqrt() * self.volts) * gain * pulse(a, over, before)
                }
            };
        }
        amperes
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kinds::KINDS;

    #[test]
    fn volts_times_amperes_are_the_watts() {
        for (seed, k) in (0u64..).zip(KINDS) {
            let m = k.machine(seed);
            let mut c = Current::new(&m, Rng::new(seed));
            c.fifth = 0.0;
            for load in [Load::WashPump, Load::DrainPump, Load::Heater, Load::FillValve] {
                let mut watts = [0.0f32; LOADS];
                watts[load as usize] = 80.0;
                let mut mean = 0.0;
                for n in 0..9600 {
                    let amperes = c.sample(&watts, 4800.0);
                    if n >= 4800 {
                        mean += 2f64.sqrt() * m.volts * c.angle().sin() * amperes / 4800.0;
                    }
                }
                assert!((mean / 80.0 - 1.0).abs() < 0.02, "{} {load:?}: {mean} W", k.name);
                c.last = [0.0; LOADS];
            }
        }
    }
}
