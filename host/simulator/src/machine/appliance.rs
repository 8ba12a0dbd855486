//! What a machine is built of, and the house that it stands in.

use rand::RngExt;
use tubtrace_units::{Amps, Celsius, Hertz, Litres, LitresPerMinute, Load, Ohms, Volts};

use super::pace::Pace;
use crate::random::Random;

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
    /// Lagging far, hardly an inrush, some third harmonic: the iron is saturated.
    ShadedPole,
    /// A small coil that draws the same for as long as it is on.
    Solenoid,
}

/// A load's nameplate.
#[derive(Clone, Copy, Debug)]
pub struct Rating {
    /// The shape of its current over time.
    pub draw: Draw,
    /// How much, RMS at nominal volts.
    pub amps: Amps,
}

/// An invented machine in an invented kitchen.
#[derive(Clone, Debug)]
pub struct Appliance {
    /// Nominal voltage of the supply.
    pub volts: Volts,
    /// Nominal frequency of the mains.
    pub mains: Hertz,
    /// The heating element: its resistance.
    pub heater: Ohms,
    /// Nameplate of the circulation pump.
    pub wash_pump: Rating,
    /// Nameplate of the drain pump.
    pub drain_pump: Rating,
    /// Nameplate of the inlet valve.
    pub fill_valve: Rating,
    /// Nameplate of the dispenser.
    pub dispenser: Rating,
    /// Nameplate of the vent actuator.
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
    /// How long its control takes for each part of a programme.
    pub pace: Pace,
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
            pace: Pace::USUAL,
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
            pace: Pace::USUAL,
        }
    }

    /// Any machine in any house. Ranges are common practice, no source.
    #[must_use]
    pub fn draw(random: &mut Random) -> Self {
        let (volts, mains) = [(120.0, 60.0), (208.0, 60.0), (230.0, 50.0)][random.random_range(0..3)];
        let draws = [Draw::Induction, Draw::ShadedPole, Draw::Synchronous, Draw::Rectified];
        // Watts decide what a load is; volts what it draws.
        let mut load = |draws: &[Draw], watts: (f64, f64)| {
            let draw = draws[random.random_range(0..draws.len())];
            let amps = Amps(random.random_range(watts.0..watts.1) / volts);
            Rating { draw, amps }
        };
        let wash_pump = load(&draws, (75.0, 170.0));
        let drain_pump = load(&[Draw::Synchronous, Draw::ShadedPole], (25.0, 55.0));
        let fill_valve = load(&[Draw::Solenoid], (9.0, 15.0));
        let dispenser = load(&[Draw::Solenoid], (6.0, 12.0));
        let vent = load(&[Draw::Solenoid], (7.0, 11.0));
        // An ordinary circuit of 120 V carries no more than 1,400 W beside the rest.
        let heat = random.random_range(600.0..if volts < 150.0 { 1_400.0 } else { 2_200.0 });
        // Fed with hot water where it is, and with cold where the element can warm it.
        let hot = volts < 220.0;
        let supply = if hot { random.random_range(51.0..60.0) } else { random.random_range(10.0..20.0) };
        // What the element brings about in ten minutes or so.
        let rise = heat / 2_000.0 * if hot { 6.0 } else { 38.0 };
        let first = supply + rise * random.random_range(0.8..1.1);
        Self {
            volts: Volts(volts),
            mains: Hertz(mains),
            heater: Ohms(volts * volts / heat),
            wash_pump,
            drain_pump,
            fill_valve,
            dispenser,
            vent,
            inlet: LitresPerMinute(random.random_range(2.0..5.0)),
            outlet: LitresPerMinute(random.random_range(7.5..13.0)),
            fill: Litres(random.random_range(3.6..5.6)),
            supply: Celsius(supply),
            room: Celsius(random.random_range(17.0..25.0)),
            holds: [Celsius(first), Celsius(first + random.random_range(3.0..8.0))],
            pace: Pace::draw(random),
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
