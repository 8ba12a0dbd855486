//! Kinds that differ in their fill.

use super::base::{cold, done, hot};
use crate::machine::{FillBy, Machine};
use crate::rng::Rng;

pub fn pulses(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    m.valve.by = FillBy::Pulses { on: r.range(3.0, 12.0), off: r.range(1.5, 7.0) };
    m.valve.litres_per_minute = r.range(3.0, 4.5);
    done(r, m, &s)
}

pub fn float(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = hot(r, kind);
    m.valve.by = FillBy::Float;
    m.valve.watts = r.range(9.0, 15.0);
    done(r, m, &s)
}

pub fn thin(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    m.valve.by = FillBy::Meter;
    m.valve.litres_per_minute = m.litres / r.range(3.0, 6.0);
    m.valve.top_up = false;
    done(r, m, &s)
}
