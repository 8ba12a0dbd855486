//! Kinds that differ in their control.

use super::base::{cold, done};
use crate::machine::{Device, FillBy, HeatBy, Machine};
use crate::rng::Rng;

pub fn awake(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    m.control.awake_watts = r.range(3.0, 9.0);
    m.control.asleep_watts = 0.0;
    m.control.lamp_watts = m.control.awake_watts;
    m.control.lamp_minutes = r.range(1.0, 15.0);
    done(r, m, &s)
}

pub fn slices(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    m.heater.by = HeatBy::Slices { period: r.about(10.0, 0.03), cap: r.range(0.55, 0.9) };
    m.heater.limit_minutes = 80.0;
    done(r, m, &s)
}

pub fn stages(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    m.heater.by = HeatBy::Stages { low: r.range(0.4, 0.6) };
    done(r, m, &s)
}

pub fn clockwork(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    // The timer motor and its lamp are what the control draws.
    m.control.awake_watts = r.range(2.5, 4.5);
    m.control.asleep_watts = 0.0;
    m.control.lamp_watts = 0.0;
    m.control.notices_fill = false;
    m.control.notices_heat = false;
    m.control.notices_drain = false;
    m.control.sloppiness = r.range(0.01, 0.03);
    m.control.waits_for_heat = r.chance(0.6);
    m.valve.by = FillBy::Level;
    m.heater.in_flow = false;
    m.dispenser = Device { watts: r.range(5.0, 9.0), seconds: r.range(20.0, 60.0) };
    done(r, m, &s)
}

pub fn delayed(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    m.delay_chance = 0.75;
    m.control.delay_watts = r.range(1.0, 4.5);
    done(r, m, &s)
}

pub fn long_lamp(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    m.control.lamp_watts = r.range(1.5, 7.0);
    m.control.lamp_minutes = r.range(180.0, 700.0);
    done(r, m, &s)
}

pub fn busy_sensor(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    m.valve.by = FillBy::Meter;
    s.extra_rinse = r.range(0.25, 0.45);
    s.rinses = r.whole(1, 2);
    done(r, m, &s)
}
