//! Kinds that differ in their drain.

use super::base::{cold, done, enough, hot, inverter};
use crate::machine::{DrainBy, Machine, Motor};
use crate::rng::Rng;

pub fn near(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    let w = r.range(30.0, 60.0);
    m.wash = inverter(r, w);
    m.drain.watts = w * r.range(0.8, 1.2);
    m.drain.on_air = r.range(0.8, 0.97);
    done(r, m, &s)
}

pub fn strong(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    let w = r.range(28.0, 55.0);
    m.wash = inverter(r, w);
    m.drain.watts = w * r.range(1.3, 2.2);
    m.drain.lag_degrees = r.range(30.0, 55.0);
    s.speeds = [1.0, r.range(0.85, 1.0), 1.0, r.range(0.7, 1.0)];
    done(r, m, &s)
}

pub fn both(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = if r.chance(0.3) { hot(r, kind) } else { cold(r, kind) };
    m.drain.with_wash = true;
    done(r, m, &s)
}

pub fn purges(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    let shortest = r.range(2.0, 5.0);
    m.drain.by = DrainBy::Purges { shortest, longest: shortest + r.range(6.0, 22.0), count: r.whole(1, 4) };
    done(r, m, &s)
}

pub fn level(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    m.drain.by = DrainBy::Air(r.range(5.0, 16.0));
    m.control.notices_drain = true;
    done(r, m, &s)
}

pub fn grinder(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = hot(r, kind);
    m.drain.watts = r.range(110.0, 190.0);
    m.drain.motor = Motor::Induction;
    m.drain.lag_degrees = r.range(35.0, 50.0);
    m.drain.on_air = r.range(0.6, 0.85);
    m.drain.litres_per_minute = r.range(14.0, 22.0);
    let s10 = enough(m.litres, m.drain.litres_per_minute) + r.range(10.0, 50.0);
    m.drain.by = DrainBy::Time(s10);
    done(r, m, &s)
}

pub fn half(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    m.valve.by = crate::machine::FillBy::Meter;
    s.leaves = r.range(0.35, 0.6);
    s.rinses = r.whole(1, 2);
    done(r, m, &s)
}
