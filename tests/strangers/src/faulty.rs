//! How the faults change what really happens under a command.

use crate::fault::Fault;
use crate::frame::{LOADS, Load};
use crate::sim::{DT, Out, Sim};

/// Shares by which a fault changes the parts.
#[derive(Clone, Copy, Debug)]
pub struct Effect {
    pub inflow: f64,
    pub outflow: f64,
    pub drain_watts: f64,
    pub heat: f64,
    pub wash: f64,
    pub spray: f64,
    pub loss: f64,
}

/// What a fault has come to so far.
#[derive(Clone, Debug, Default)]
pub struct Wrong {
    /// The fault has changed something.
    pub shown: bool,
    /// The control gives up at the end of this tick.
    pub gives_up: Option<&'static str>,
    /// The drain at which a relay sticks, the drains so far.
    pub stick_drain: usize,
    pub drains: usize,
    /// The seconds of heat at which a relay sticks, the seconds so far.
    pub stick_heat: f64,
    pub heated: f64,
    pub drain_stuck: bool,
    pub heat_stuck: bool,
    pub safety_rest: f64,
    pub bare: f64,
    pub chatter: usize,
    pub flips: usize,
    pub contact: bool,
    pub asked: bool,
    pub stalled: f64,
    pub waiting: f64,
    pub stalls: usize,
    draining: bool,
}

impl Wrong {
    /// Whether a relay has stuck for good.
    pub fn is_stuck(&self) -> bool {
        self.drain_stuck || self.heat_stuck
    }
}

impl Sim<'_> {
    /// Change a command to what happens, and say how the parts are changed.
    pub fn effects(&mut self, c: &mut Out) -> Effect {
        let mut e = Effect {
            inflow: 1.0,
            outflow: 1.0,
            drain_watts: 1.0,
            heat: 1.0,
            wash: 1.0,
            spray: 1.0,
            loss: 1.0,
        };
        self.guard(c);
        if c.drain && !self.wrong.draining {
            self.wrong.drains += 1;
        }
        self.wrong.draining = c.drain;
        if c.heat.max(c.air_heat) > 0.0 {
            self.wrong.heated += DT;
        }
        let Some(t) = self.trouble else { return e };
        let hot = c.heat > 0.0 || c.air_heat > 0.0 || c.dry;
        let mut shows = false;
        match t.fault {
            Fault::NoHeat => (e.heat, shows) = (0.0, hot),
            Fault::HalfHeat => (e.heat, shows) = (t.between(0.62, 0.4), hot),
            Fault::WeakHeat => (e.heat, shows) = (t.between(0.88, 0.82), hot),
            Fault::SlowFill => (e.inflow, shows) = (t.between(0.62, 0.22), c.valve),
            Fault::NoFill => (e.inflow, shows) = (t.between(0.05, 0.0), c.valve),
            Fault::LongDrain => (e.outflow, shows) = (t.between(0.6, 0.22), c.drain),
            Fault::DrainDead => {
                e.outflow = 0.0;
                e.drain_watts = if t.other_sort { 1.35 } else { 0.0 };
                shows = c.drain;
            }
            Fault::NeverEmpties => {
                (e.outflow, e.drain_watts, shows) = (t.between(0.02, 0.0), 0.88, c.drain);
            }
            Fault::WeakWash => {
                (e.wash, e.spray) = (t.between(0.88, 0.6), t.between(0.85, 0.4));
                shows = c.wash > 0.0;
            }
            Fault::WashStalls => self.stalls(c, &mut e, &t),
            Fault::VentStuckOpen if self.m.vent.is_some() => {
                e.loss = t.between(2.2, 5.0);
                shows = true;
            }
            Fault::RelayChatters => self.chatter(c, &t),
            Fault::DrainStaysOn => {
                let w = &mut self.wrong;
                w.drain_stuck |= c.drain && w.drains >= w.stick_drain;
                shows = w.drain_stuck && !c.drain && !c.open;
                c.drain |= w.drain_stuck && !c.open;
                if self.m.drain.same_motor && c.drain {
                    c.wash = 0.0;
                }
            }
            Fault::HeaterStaysOn if !c.open => shows = self.sticking_heater(c),
            _ => {}
        }
        self.wrong.shown |= shows;
        e
    }

    /// Guards that every machine has: no heat without water, or without flow.
    fn guard(&mut self, c: &mut Out) {
        let still = self.m.heater.in_flow && c.wash <= 0.0;
        if c.heat > 0.0 && (self.plant.water < 0.35 * self.m.litres || still) {
            c.heat = 0.0;
        }
        if self.m.drain.same_motor && c.drain {
            c.wash = 0.0;
        }
    }

    /// The devices that are powered for some seconds beside everything else.
    pub fn devices(&mut self, c: &Out, watts: &mut [f64; LOADS], volts: f64) {
        if c.open {
            return;
        }
        if self.dispensing > 0 {
            self.dispensing -= 1;
            watts[Load::Dispenser as usize] = self.m.dispenser.watts * volts;
        }
        let powered = self.has(Fault::VentStuckOpen) && self.trouble.is_some_and(|t| t.other_sort);
        if let Some(vent) = self.m.vent
            && (self.venting > 0 || powered)
        {
            self.venting = self.venting.saturating_sub(1);
            watts[Load::Vent as usize] = vent.watts * volts;
        }
    }
}
