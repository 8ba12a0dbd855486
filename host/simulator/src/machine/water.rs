//! Water and heat: the tub, the supply pipe and the drain hose.

use tubtrace_units::{Celsius, Joules, Litres, LitresPerMinute, Seconds};

/// Heat capacity of a litre of water, and of the tub, the racks and the load; J/K. The latter is invented.
const WATER: f64 = 4_150.0;
const METAL: f64 = 9_000.0;

/// The tub with the water in it and its temperature.
#[derive(Clone, Debug)]
pub(super) struct Tub {
    pub water: Litres,
    pub temperature: Celsius,
}

impl Tub {
    fn capacity(&self) -> f64 {
        self.water.0 * WATER + METAL
    }

    /// Water comes in at `temperature`.
    pub fn fill(&mut self, volume: Litres, temperature: Celsius) {
        let before = self.capacity();
        self.water += volume;
        let heat = before * self.temperature.0 + volume.0 * WATER * temperature.0;
        self.temperature = Celsius(heat / self.capacity());
    }

    /// Water leaves; gives how much there was to leave.
    pub fn drain(&mut self, volume: Litres) -> Litres {
        let gone = volume.min(self.water);
        self.water = self.water - gone;
        gone
    }

    /// Heat goes in, and some is lost to the room: 4 W/K with the pump running, 1.5 W/K without.
    pub fn heat(&mut self, energy: Joules, room: Celsius, pumping: bool, dt: Seconds) {
        let loss = if pumping { 4.0 } else { 1.5 } * (self.temperature - room).0 * dt.0;
        self.temperature += Celsius((energy.0 - loss) / self.capacity());
    }
}

/// A pipe or hose whose wall takes on the temperature of what flows in it.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub temperature: Celsius,
    /// Water that must flow for the temperature to come 63 % of the way.
    dead: Litres,
}

impl Line {
    pub const fn new(temperature: Celsius, dead: Litres) -> Self {
        Self { temperature, dead }
    }

    pub fn flow(&mut self, flow: LitresPerMinute, inflow: Celsius, room: Celsius, dt: Seconds) {
        let by_flow = flow.during(dt) / self.dead;
        self.temperature += (inflow - self.temperature) * by_flow.min(1.0);
        // Standing, it comes back to the room in about eight minutes.
        self.temperature += (room - self.temperature) * (dt.0 / 480.0);
    }
}
