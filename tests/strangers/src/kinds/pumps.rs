//! Kinds that differ in their wash pump.

use super::base::{cold, done, enough, hot, induction, inverter};
use crate::machine::{Arms, DrainBy, Machine, Motor};
use crate::rng::Rng;

pub fn speeds(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    s.warming = r.chance(0.5).then(|| r.range(0.6, 0.85));
    let w = r.range(55.0, 130.0);
    m.wash = inverter(r, w);
    s.speeds = [r.range(0.85, 1.0), r.range(0.75, 0.9), 1.0, r.range(0.55, 0.72)];
    let mut p = vec![s.daily(), s.intensive(), s.economy()];
    if r.chance(0.5) {
        p.push(s.quick());
    }
    m.programmes = p;
    m
}

pub fn turns(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = cold(r, kind);
    let w = r.range(45.0, 110.0);
    m.wash = if r.chance(0.5) { inverter(r, w) } else { induction(r, w) };
    m.wash.ramp_seconds = m.wash.ramp_seconds.min(2.5);
    let rest = r.about(6.0, 0.08);
    m.wash.arms = Arms::Turns { run: r.about(41.0, 0.05) - rest, rest };
    done(r, m, &s)
}

pub fn swing(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    s.warming = r.chance(0.5).then(|| r.range(0.6, 0.85));
    let w = r.range(60.0, 120.0);
    m.wash = inverter(r, w);
    m.wash.arms = Arms::Swing { low: r.range(0.6, 0.85), period: r.range(15.0, 60.0) };
    done(r, m, &s)
}

pub fn ramp(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    s.warming = r.chance(0.5).then(|| r.range(0.6, 0.85));
    let w = r.range(50.0, 120.0);
    m.wash = inverter(r, w);
    m.wash.ramp_seconds = r.about(20.0, 0.1);
    s.speeds = [1.0, r.range(0.8, 1.0), 1.0, r.range(0.6, 0.9)];
    done(r, m, &s)
}

pub fn diverter(r: &mut Rng, kind: &'static str) -> Machine {
    let american = r.chance(0.4);
    let (mut m, s) = if american { hot(r, kind) } else { cold(r, kind) };
    m.wash.arms =
        Arms::Diverter { watts: r.range(3.0, 12.0), every: r.range(30.0, 180.0), moving: r.range(4.0, 15.0) };
    done(r, m, &s)
}

pub fn shaded_pole(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = if r.chance(0.5) { hot(r, kind) } else { cold(r, kind) };
    let w = r.range(90.0, 220.0);
    m.wash = induction(r, w);
    m.wash.motor = Motor::ShadedPole;
    m.wash.lag_degrees = r.range(50.0, 65.0);
    m.wash.start_ratio = r.range(1.5, 2.1);
    m.drain.motor = Motor::ShadedPole;
    m.drain.watts = r.range(45.0, 95.0);
    m.drain.lag_degrees = r.range(52.0, 66.0);
    done(r, m, &s)
}

pub fn large(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = hot(r, kind);
    // Active power of 3.6 A on 120 V at this angle: about 321 W.
    let (amperes, lag) = (r.about(3.6, 0.06), r.about(42.0, 0.05));
    let watts = 120.0 * amperes * lag.to_radians().cos();
    m.wash = induction(r, watts);
    m.wash.lag_degrees = lag;
    done(r, m, &s)
}

pub fn one_motor(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, s) = hot(r, kind);
    m.drain.same_motor = true;
    m.drain.motor = m.wash.motor;
    m.drain.lag_degrees = m.wash.lag_degrees;
    m.drain.watts = m.wash.watts * r.range(0.62, 0.95);
    m.drain.on_air = r.range(0.55, 0.8);
    m.drain.litres_per_minute = r.range(15.0, 26.0);
    let s10 = enough(m.litres, m.drain.litres_per_minute) + r.range(20.0, 70.0);
    m.drain.by = DrainBy::Time(s10);
    done(r, m, &s)
}
