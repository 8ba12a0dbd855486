//! A piezo disc on a hose: flow, and everything else that it hears.

use rand::RngExt;
use tubtrace_units::{LitresPerMinute, Load};

use super::tables::{SINE, sine};
use crate::machine::Moment;
use crate::random::Random;

/// Counts RMS of flow noise at 1 L/min, and how much of each pump comes through the frame of the machine.
#[derive(Debug)]
struct Coupling {
    flow: f32,
    wash_pump: f32,
    drain_pump: f32,
}

#[derive(Debug)]
pub(super) struct Pickup {
    coupling: Coupling,
    /// Counts of hum, and counts an ampere that the wiring radiates into the lead.
    hum: f32,
    from_current: f32,
    /// Two tones of the wash pump's blades.
    blades: [(u32, u32); 2],
    /// Amplitudes for the present 10 ms.
    noise: f32,
    tone: f32,
    knock: f32,
    was_flowing: bool,
    before: f32,
}

impl Pickup {
    pub fn on_supply(random: &mut Random) -> Self {
        let coupling = Coupling {
            flow: random.random_range(12.0..20.0),
            wash_pump: random.random_range(2.0..5.0),
            drain_pump: random.random_range(1.0..2.5),
        };
        Self::new(coupling, random)
    }

    pub fn on_drain(random: &mut Random) -> Self {
        let coupling = Coupling {
            flow: random.random_range(9.0..15.0),
            wash_pump: random.random_range(6.0..12.0),
            drain_pump: random.random_range(10.0..18.0),
        };
        Self::new(coupling, random)
    }

    fn new(coupling: Coupling, random: &mut Random) -> Self {
        let tone = |hertz: f64| (hertz / 4_800.0 * 4_294_967_296.0) as u32;
        let blade = random.random_range(330.0..420.0);
        Self {
            coupling,
            hum: random.random_range(30.0..90.0),
            from_current: random.random_range(1.0..4.0),
            blades: [(0, tone(blade)), (0, tone(2.03 * blade))],
            noise: 0.0,
            tone: 0.0,
            knock: 0.0,
            was_flowing: false,
            before: 0.0,
        }
    }

    /// Ten milliseconds with `flow` under this disc.
    pub fn prepare(&mut self, flow: LitresPerMinute, moment: &Moment, random: &mut Random) {
        let flow = flow.0 as f32;
        let on = |load| f32::from(u8::from(moment.loads.has(load)));
        // Turbulence: about proportional to the flow, and it flutters.
        let heard = self.coupling.flow * flow * random.random_range(0.85..1.15);
        let wash = on(Load::WashPump) * self.coupling.wash_pump;
        let drain = on(Load::DrainPump) * self.coupling.drain_pump;
        self.noise = (1.0 + heard * heard + 0.5 * wash * wash + 0.6 * drain * drain).sqrt();
        self.tone = 0.7 * wash + 0.4 * drain;
        // A valve that shuts knocks; and now and then somebody shuts a door.
        let flowing = flow > 0.3;
        if (self.was_flowing && !flowing) || random.random_bool(1.0 / 90_000.0) {
            self.knock = random.random_range(200.0..900.0) * moment.blow.max(1.0) as f32;
        }
        self.was_flowing = flowing;
        self.knock *= 0.75;
    }

    #[inline]
    pub fn sample(&mut self, phase: u32, current: f32, noise: f32) -> f32 {
        let table = &SINE;
        // Colours the noise towards the band in which flow is heard; unit variance stays.
        let coloured = (noise - 0.4 * self.before) * 0.928;
        self.before = noise;
        let mut sum = self.hum * (sine(table, phase) + 0.3 * sine(table, phase.wrapping_mul(3)));
        sum += self.from_current * current + (self.noise + self.knock) * coloured;
        if self.tone > 0.0 {
            for (phase, step) in &mut self.blades {
                *phase = phase.wrapping_add(*step);
                sum += self.tone * sine(table, *phase);
            }
        }
        sum
    }
}
