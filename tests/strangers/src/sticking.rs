//! Faults with a course of their own: contacts that chatter or weld, a rotor that sticks.

use crate::fault::Trouble;
use crate::faulty::{Effect, Wrong};
use crate::rng::Rng;
use crate::sim::{DT, Out, Sim};

fn chatters(w: &mut Wrong, rng: &mut Rng, t: &Trouble, wanted: bool) -> bool {
    let begins = wanted && !w.asked && rng.chance(t.between(0.5, 0.95));
    let midway = wanted && rng.chance(DT / t.between(500.0, 70.0));
    if w.chatter == 0 && (begins || midway) {
        w.chatter = rng.whole(10, t.between(30.0, 90.0) as usize);
    }
    w.asked = wanted;
    if w.chatter == 0 || !wanted {
        return wanted;
    }
    w.chatter -= 1;
    w.shown = true;
    if w.flips == 0 {
        w.contact = !w.contact;
        w.flips = rng.whole(1, 12);
    }
    w.flips -= 1;
    w.contact
}

impl Sim<'_> {
    /// A relay of the heater or of the wash pump whose contact chatters.
    pub fn chatter(&mut self, c: &mut Out, t: &Trouble) {
        let (w, rng) = (&mut self.wrong, &mut self.rng);
        if t.other_sort {
            if !chatters(w, rng, t, c.wash > 0.0) {
                c.wash = 0.0;
            }
        } else if !chatters(w, rng, t, c.heat > 0.0) {
            c.heat = 0.0;
        }
    }

    /// A rotor that sticks, and a control that stops the motor and tries again.
    pub fn stalls(&mut self, c: &mut Out, e: &mut Effect, t: &Trouble) {
        let w = &mut self.wrong;
        if c.wash <= 0.0 {
            (w.stalled, w.waiting) = (0.0, 0.0);
            w.asked = false;
            return;
        }
        let begins = !w.asked && self.rng.chance(t.between(0.35, 0.8));
        let midway = self.rng.chance(DT / t.between(900.0, 200.0));
        w.asked = true;
        if w.waiting > 0.0 {
            w.waiting -= DT;
            c.wash = 0.0;
            if w.waiting <= 0.0 && self.rng.chance(t.between(0.25, 0.5)) {
                w.stalled = self.rng.range(1.5, 6.0);
            }
            return;
        }
        if w.stalled <= 0.0 && (begins || midway) {
            w.stalled = self.rng.range(1.5, 6.0);
        }
        if w.stalled > 0.0 {
            w.shown = true;
            w.stalled -= DT;
            (e.wash, e.spray) = (2.3, 0.0);
            if w.stalled <= 0.0 {
                w.stalls += 1;
                w.waiting = self.rng.range(4.0, 15.0);
                if w.stalls > 5 + (30.0 * (1.0 - t.severity)) as usize && t.other_sort {
                    w.gives_up = Some("wash pump");
                }
            }
        }
    }

    /// A welded contact, with the safety switches that then work.
    pub fn sticking_heater(&mut self, c: &mut Out) -> bool {
        let w = &mut self.wrong;
        w.heat_stuck |= w.heated >= w.stick_heat && c.heat.max(c.air_heat) > 0.0;
        if !w.heat_stuck {
            return false;
        }
        let commanded = c.heat > 0.0;
        let wet = self.plant.water > 0.35 * self.m.litres;
        let still = self.m.heater.in_flow && (!wet || c.wash <= 0.0);
        if w.safety_rest > 0.0 {
            w.safety_rest -= DT;
            (c.heat, c.air_heat) = (0.0, 0.0);
            return true;
        }
        w.bare = if still { w.bare + DT } else { 0.0 };
        if self.plant.celsius.max(self.plant.load_celsius) > 84.0 {
            w.safety_rest = self.rng.range(90.0, 300.0);
        } else if w.bare > 25.0 {
            (w.safety_rest, w.bare) = (self.rng.range(200.0, 600.0), 0.0);
        }
        if wet {
            c.heat = 1.0;
        } else {
            c.air_heat = 1.0;
        }
        !commanded
    }
}
