//! One tick of the machine: from the command to watts, flows and heat.

use crate::faulty::Effect;
use crate::frame::{Frame, LOADS, Load};
use crate::machine::{Arms, Source};
use crate::motors::{Running, heater};
use crate::plant::Flows;
use crate::sim::{DT, Out, Sim};

/// What one tick comes to.
struct Tick {
    command: Out,
    effect: Effect,
    volts: f64,
    watts: [f64; LOADS],
    flows: Flows,
    frame: Frame,
}

impl Sim<'_> {
    /// Volts as a share of the rated ones: an offset, a slow drift, a sag under the heater.
    fn volts(&mut self) -> f64 {
        self.drift += -self.drift * DT / 600.0 + 0.004 * self.rng.normal(0.0, 0.0183);
        let sag = self.last_heat / 2000.0 * 0.006 * (230.0 / self.m.volts);
        1.0 + self.day.volts + self.drift - sag
    }

    /// Seconds for which a load has been on, counted on.
    fn lasts(&mut self, load: Load, on: bool) -> f64 {
        let s = &mut self.since[load as usize];
        *s = if on { *s + DT } else { 0.0 };
        (*s - DT).max(0.0)
    }

    /// What really happens in one tick under a command.
    pub fn advance(&mut self, command: Out) {
        let mut command = command;
        let effect = self.effects(&mut command);
        let volts = self.volts();
        self.shake += -self.shake * 0.05 + self.rng.normal(0.0, 0.0025);
        let flows = Flows { loss_times: effect.loss, ..Flows::default() };
        let (watts, frame) = ([0.0; LOADS], Frame::default());
        let mut t = Tick { command, effect, volts, watts, flows, frame };
        self.valves(&mut t);
        self.washing(&mut t);
        self.draining(&mut t);
        self.heating(&mut t);
        self.small(&mut t);
        self.devices(&t.command, &mut t.watts, volts);
        self.record(t);
    }

    fn valves(&mut self, t: &mut Tick) {
        if t.command.valve {
            t.watts[Load::FillValve as usize] = self.m.valve.watts * t.volts;
            t.flows.inflow = self.m.valve.litres_per_minute * self.day.flow * t.effect.inflow;
        }
        if t.command.tank_valve {
            t.watts[Load::TankValve as usize] = self.m.tank_valve.unwrap_or(6.0);
            t.flows.tank_in = 7.0;
        }
        if t.command.to_tank {
            t.flows.tank_out = 9.0;
        }
        t.frame.inflow = t.flows.inflow as f32;
    }

    fn washing(&mut self, t: &mut Tick) {
        let speed = t.command.wash;
        let since = self.lasts(Load::WashPump, speed > 0.0);
        if speed <= 0.0 {
            return;
        }
        let m = self.m;
        let water = self.plant.water / (0.72 * m.litres);
        let run = Running { speed, since, water, volts: t.volts };
        let starved = 1.0 - water.min(1.0);
        let shake = 1.0 + self.shake * (1.0 + 6.0 * starved + 12.0 * self.foam) - self.foam;
        self.foam *= 1.0 - DT / 200.0;
        let watts = m.wash.draws(&run) * self.arm * shake * t.effect.wash;
        t.watts[Load::WashPump as usize] = watts;
        let turns = m.wash.ramped(&run);
        t.flows.spray = water.min(1.0) * turns.sqrt() * t.effect.spray;
        t.flows.shaft = watts * m.wash.warms() * t.effect.spray;
        t.frame.speed = (turns * t.effect.spray) as f32;
    }

    fn draining(&mut self, t: &mut Tick) {
        let since = self.lasts(Load::DrainPump, t.command.drain);
        if !t.command.drain {
            return;
        }
        let wet = (self.plant.water / 0.35).min(1.0);
        let air = (1.0 - wet) * self.rng.range(0.75, 1.0);
        let shake = 1.0 + 2.0 * self.shake * (1.0 + air);
        let watts = self.m.drain.draws(air, since, t.volts) * shake;
        t.watts[Load::DrainPump as usize] = watts * t.effect.drain_watts;
        let most = self.m.drain.litres_per_minute * self.day.head;
        t.flows.outflow = most * wet.max(0.05) * t.effect.outflow;
        t.frame.air = if t.effect.outflow > 0.0 { air as f32 } else { 0.0 };
    }

    fn heating(&mut self, t: &mut Tick) {
        let (c, h) = (t.command, &self.m.heater);
        let share = c.heat.max(c.air_heat) * t.effect.heat;
        let since = self.lasts(Load::Heater, share > 0.0);
        if share > 0.0 {
            let (watts, warmth) = heater(h.source, h.watts * share, since, t.volts, self.plant.celsius);
            t.watts[Load::Heater as usize] = watts;
            if c.heat > 0.0 || h.source == Source::HeatPump {
                t.flows.heat = warmth;
            } else {
                t.flows.air_heat = warmth * 0.85;
            }
        }
        self.last_heat = t.watts[Load::Heater as usize];
        let since = self.lasts(Load::DryHeater, c.dry);
        if c.dry {
            let (watts, _) = heater(Source::Element, self.m.dry_watts, since, t.volts, 0.0);
            t.watts[Load::DryHeater as usize] = watts * t.effect.heat;
            t.flows.air_heat += watts * t.effect.heat * 0.6;
        }
    }

    fn small(&mut self, t: &mut Tick) {
        let (c, m) = (t.command, self.m);
        if c.fan {
            t.watts[Load::Fan as usize] = m.fan_watts * t.volts * (1.0 + self.shake);
            t.flows.loss_times += 0.8;
        }
        if c.divert
            && let Arms::Diverter { watts, .. } = m.wash.arms
        {
            t.watts[Load::Diverter as usize] = watts * t.volts * (1.0 + 2.0 * self.shake);
        }
        if c.soft {
            t.watts[Load::Softener as usize] = m.softener.map_or(0.0, |s| s.watts) * t.volts;
        }
        if c.awake {
            t.watts[Load::Control as usize] = m.control.awake_watts;
        }
    }

    fn record(&mut self, mut t: Tick) {
        let before = self.plant.given;
        self.plant.step(&t.flows, DT);
        t.frame.outflow = ((self.plant.given - before) / DT * 60.0) as f32;
        t.frame.kilograms = self.plant.water as f32;
        t.frame.celsius = self.plant.celsius as f32;
        t.frame.watts = t.watts.map(|w| w.max(0.0) as f32);
        self.frames.push(t.frame);
    }
}
