//! The power that pumps and heaters draw.

use crate::machine::{DrainPump, Motor, Source, WashPump};

/// Volts as a share of the rated volts.
fn by_voltage(motor: Motor, volts: f64) -> f64 {
    match motor {
        Motor::Induction | Motor::ShadedPole => volts.powf(1.6),
        Motor::Inverter => 1.0,
        Motor::Synchronous => volts,
    }
}

/// The seconds in which a start's extra current fades.
fn fades(motor: Motor) -> f64 {
    match motor {
        Motor::Induction => 0.22,
        Motor::ShadedPole => 0.35,
        Motor::Inverter => 0.0,
        Motor::Synchronous => 0.1,
    }
}

fn start(motor: Motor, ratio: f64, since: f64) -> f64 {
    let tau = fades(motor);
    if tau <= 0.0 {
        return 1.0;
    }
    1.0 + (ratio - 1.0) * (-(since + 0.05) / tau).exp()
}

/// The state in which a wash pump runs.
#[derive(Clone, Copy, Debug)]
pub struct Running {
    /// Share of full speed that is asked for.
    pub speed: f64,
    /// Seconds since it started.
    pub since: f64,
    /// How much water it has, 0 to 1.
    pub water: f64,
    /// Volts as a share of the rated volts.
    pub volts: f64,
}

impl WashPump {
    /// The speed that it has after a ramp.
    pub fn ramped(&self, run: &Running) -> f64 {
        if self.ramp_seconds > 0.0 {
            run.speed * (run.since / self.ramp_seconds).clamp(0.12, 1.0)
        } else {
            run.speed
        }
    }

    /// Watts drawn. Power of a pump goes about with the cube of its speed, over a floor.
    pub fn draws(&self, run: &Running) -> f64 {
        let speed = self.ramped(run);
        let curve = self.floor + (1.0 - self.floor) * speed.powi(3);
        let fed = 0.62 + 0.38 * run.water.clamp(0.0, 1.0);
        let first = if run.since < 2.0 { 0.94 } else { 1.0 };
        self.watts
            * curve
            * fed
            * first
            * by_voltage(self.motor, run.volts)
            * start(self.motor, self.start_ratio, run.since)
    }

    /// The share of its watts that warms the water.
    pub fn warms(&self) -> f64 {
        match self.motor {
            Motor::Inverter => 0.55,
            _ => 0.45,
        }
    }
}

impl DrainPump {
    /// Watts drawn with a share of air, since its start, at a share of the rated volts.
    pub fn draws(&self, air: f64, since: f64, volts: f64) -> f64 {
        let wet = 1.0 - (1.0 - self.on_air) * air;
        let ratio = if self.motor == Motor::Synchronous { 1.5 } else { 2.2 };
        self.watts * wet * by_voltage(self.motor, volts) * start(self.motor, ratio, since)
    }
}

/// Watts of a heater, and watts of heat, at full command.
pub fn heater(source: Source, rated: f64, since: f64, volts: f64, celsius: f64) -> (f64, f64) {
    match source {
        Source::Element => {
            // The wire's resistance rises a little as it warms within some seconds.
            let warm = 1.0 - 0.015 * (since / 8.0).min(1.0);
            let watts = rated * volts * volts * warm;
            (watts, watts)
        }
        Source::HeatPump => {
            // Power rises and the yield falls with the temperature of the water.
            let watts = rated * (0.74 + 0.26 * (celsius - 15.0) / 40.0) * (0.5 + 0.5 * volts);
            let start = 1.0 + 2.6 * (-(since + 0.05) / 0.25).exp();
            let yields = (3.4 - 0.032 * (celsius - 15.0)).clamp(1.3, 3.6);
            let settling = 0.4 + 0.6 * (since / 150.0).min(1.0);
            (watts * start, watts * yields * settling)
        }
    }
}
