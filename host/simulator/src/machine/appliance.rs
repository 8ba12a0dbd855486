//! What a machine is built of, and the house that it stands in.

use tubtrace_units::{Amps, Celsius, Hertz, Litres, LitresPerMinute, Load, Ohms, Volts};

/// How a load draws its current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Draw {
    /// A clean sine in phase.
    Resistive,
    /// Lagging, with an inrush of some tenths of a second.
    Induction,
    /// Peaky: a rectifier feeds the motor.
    Rectified,
    /// Lagging, a short inrush, a little second harmonic.
    Synchronous,
    /// Small and steady.
    Solenoid,
}

/// A load's nameplate.
#[derive(Clone, Copy, Debug)]
pub struct Rating {
    /// How it draws.
    pub draw: Draw,
    /// How much, RMS at nominal volts.
    pub amps: Amps,
}

/// An invented machine in an invented kitchen.
#[derive(Clone, Debug)]
pub struct Appliance {
    /// Nominal supply.
    pub volts: Volts,
    /// Nominal frequency.
    pub mains: Hertz,
    /// The element.
    pub heater: Ohms,
    /// Circulation pump.
    pub wash_pump: Rating,
    /// Drain pump.
    pub drain_pump: Rating,
    /// Inlet valve.
    pub fill_valve: Rating,
    /// Dispenser.
    pub dispenser: Rating,
    /// Vent actuator.
    pub vent: Rating,
    /// The valve's flow, pressure-compensated.
    pub inlet: LitresPerMinute,
    /// The drain pump's flow.
    pub outlet: LitresPerMinute,
    /// Water for each part of the programme.
    pub fill: Litres,
    /// Water in the house's pipe once it runs.
    pub supply: Celsius,
    /// Air and standing pipes.
    pub room: Celsius,
    /// Temperature that ends the hold of the main wash, and of the last rinse.
    pub holds: [Celsius; 2],
}

impl Appliance {
    /// 120 V 60 Hz, fed with hot water; induction wash pump.
    #[must_use]
    pub fn on_120_volts() -> Self {
        Self {
            volts: Volts(120.0),
            mains: Hertz(60.0),
            heater: Ohms(20.6),
            wash_pump: Rating { draw: Draw::Induction, amps: Amps(1.15) },
            drain_pump: Rating { draw: Draw::Synchronous, amps: Amps(0.42) },
            fill_valve: Rating { draw: Draw::Solenoid, amps: Amps(0.115) },
            dispenser: Rating { draw: Draw::Solenoid, amps: Amps(0.055) },
            vent: Rating { draw: Draw::Solenoid, amps: Amps(0.085) },
            inlet: LitresPerMinute(3.4),
            outlet: LitresPerMinute(9.0),
            fill: Litres(5.2),
            supply: Celsius(54.5),
            room: Celsius(21.0),
            holds: [Celsius(56.0), Celsius(62.0)],
        }
    }

    /// 230 V 50 Hz, fed with cold water; rectifier-fed wash pump.
    #[must_use]
    pub fn on_230_volts() -> Self {
        Self {
            volts: Volts(230.0),
            mains: Hertz(50.0),
            heater: Ohms(28.0),
            wash_pump: Rating { draw: Draw::Rectified, amps: Amps(0.52) },
            drain_pump: Rating { draw: Draw::Synchronous, amps: Amps(0.19) },
            fill_valve: Rating { draw: Draw::Solenoid, amps: Amps(0.055) },
            dispenser: Rating { draw: Draw::Solenoid, amps: Amps(0.038) },
            vent: Rating { draw: Draw::Solenoid, amps: Amps(0.045) },
            inlet: LitresPerMinute(3.0),
            outlet: LitresPerMinute(11.0),
            fill: Litres(4.2),
            supply: Celsius(15.0),
            room: Celsius(20.0),
            holds: [Celsius(51.0), Celsius(60.0)],
        }
    }

    /// The nameplate of a load; the machines here have no fan.
    #[must_use]
    pub fn rating(&self, load: Load) -> Option<Rating> {
        Some(match load {
            Load::Heater => Rating { draw: Draw::Resistive, amps: Amps(self.volts.0 / self.heater.0) },
            Load::WashPump => self.wash_pump,
            Load::DrainPump => self.drain_pump,
            Load::FillValve => self.fill_valve,
            Load::Dispenser => self.dispenser,
            Load::Vent => self.vent,
            Load::Fan => return None,
        })
    }
}
