//! The clips: what they make of the machine, and everything that spoils it.

mod clip;
mod fault_effects;
mod house;
mod noise;
mod pickup;
mod tables;
mod waveform;

use rand::RngExt;
use tubtrace_core::{CHANNELS, SAMPLE_RATE};
use tubtrace_units::{Celsius, Volts};

use crate::machine::{Appliance, Moment, Trouble};
use crate::random::Random;
use clip::Clip;
use fault_effects::ClipFaultEffects;
use house::House;
use noise::Noise;
use pickup::Pickup;
use waveform::Waveform;

/// Samples of each channel in one step of the machine.
pub const SUB: usize = SAMPLE_RATE as usize / 100;

/// The converter's mid-scale, and its last code.
const MIDDLE: f32 = 2_048.0;
const LAST: f32 = 4_095.0;

/// The code of a thermistor whose lead is broken.
const OPEN: i16 = 32_700;

/// A set of clips on one machine, with the spread of their making and mounting drawn from a seed.
#[derive(Debug)]
pub struct Clips {
    house: House,
    waveform: Waveform,
    supply: Pickup,
    drain: Pickup,
    supply_clip: Clip,
    drain_clip: Clip,
    noise: Noise,
    bias: f32,
    battery: f32,
    room: Celsius,
    effects: ClipFaultEffects,
}

impl Clips {
    /// Clips on `appliance`.
    pub fn new(appliance: &Appliance, random: &mut Random) -> Self {
        Self {
            house: House::new(appliance.volts, appliance.mains, random),
            waveform: Waveform::new(appliance),
            supply: Pickup::on_supply(random),
            drain: Pickup::on_drain(random),
            supply_clip: Clip::new(appliance.room, random),
            drain_clip: Clip::new(appliance.room, random),
            noise: Noise::new(random),
            bias: random.random_range(-12.0..12.0),
            // A third of 4.8 V over 3.3 V.
            battery: 4_096.0 * 1.6 / 3.3,
            room: appliance.room,
            effects: ClipFaultEffects::default(),
        }
    }

    /// Brings trouble about if it is the logger's own, or mends it.
    pub fn set_trouble(&mut self, trouble: Option<Trouble>, random: &mut Random) {
        self.effects = trouble
            .filter(|t| t.fault.is_loggers())
            .map_or_else(ClipFaultEffects::default, |t| ClipFaultEffects::of(t, random));
    }

    /// Whether the battery is empty.
    #[must_use]
    pub fn is_dead(&self) -> bool {
        self.effects.battery_is_empty()
    }

    /// The voltage (RMS) of the mains at this moment.
    #[must_use]
    pub fn volts(&self) -> Volts {
        self.house.volts()
    }

    /// Feels one moment: fills in `SUB` samples of each channel, interleaved.
    pub fn feel(&mut self, moment: &Moment, samples: &mut [u16], random: &mut Random) {
        self.house.drift(self.waveform.heater_on(), random);
        self.bias += random.random_range(-0.01..0.01);
        self.battery -= 1.0 / (100.0 * 3_600.0);
        self.waveform.prepare(moment, self.house.volts());
        self.effects.pass();
        let (clamp, supply, drain) = (self.effects.clamp(), self.effects.pickup(0), self.effects.pickup(1));
        self.supply.prepare(moment.supply_flow, moment, random);
        self.drain.prepare(moment.drain_flow, moment, random);

        let step = self.house.phase_step();
        for out in samples.chunks_exact_mut(CHANNELS) {
            let phase = self.house.turn(step);
            let current = self.waveform.sample(phase);
            let [a, b, c, d] = self.noise.four();
            // 16.113 mA a count: the clamp's own noise is about half a count.
            out[0] = convert(self.bias + clamp * current / 0.016_113 + 0.55 * a);
            out[1] = convert(supply * self.supply.sample(phase, current, b));
            out[2] = convert(drain * self.drain.sample(phase, current, c));
            out[3] = convert(self.battery - MIDDLE + 0.8 * d);
        }
    }

    /// Codes of the thermistor converter (supply, drain), once a second.
    pub fn thermistors(&mut self, moment: &Moment, random: &mut Random) -> [i16; 2] {
        let felt = |i: usize, water| if self.effects.clip_is_off(i) { self.room } else { water };
        let (supply, drain) = (felt(0, moment.supply), felt(1, moment.drain));
        let codes = [self.supply_clip.read(supply, random), self.drain_clip.read(drain, random)];
        [0, 1].map(|i| if self.effects.is_open(i) { OPEN } else { codes[i] })
    }
}

fn convert(counts: f32) -> u16 {
    // `as` saturates, and so does the converter.
    (counts + MIDDLE + 0.5).clamp(0.0, LAST) as u16
}
