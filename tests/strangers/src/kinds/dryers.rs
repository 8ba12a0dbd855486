//! Kinds that differ in their heat or their drying.

use super::base::{cold, done, hot, inverter};
use crate::machine::{Device, HeatBy, Machine, Source};
use crate::programme::Dry;
use crate::rng::Rng;

pub fn heat_pump(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    m.heater.watts = r.about(240.0, 0.08);
    m.heater.source = Source::HeatPump;
    m.heater.by = HeatBy::Thermostat { band: r.range(3.0, 5.0) };
    m.heater.in_flow = false;
    m.heater.limit_minutes = r.range(110.0, 160.0);
    let w = r.range(40.0, 80.0);
    m.wash = inverter(r, w);
    m.loss = r.range(1.6, 2.6);
    s.main = [r.range(46.0, 52.0), r.range(54.0, 58.0), r.range(42.0, 46.0)];
    s.last = Some(r.range(46.0, 54.0));
    done(r, m, &s)
}

pub fn fan_hours(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    m.fan_watts = r.range(4.0, 22.0);
    m.vent = Some(Device { watts: r.range(3.0, 8.0), seconds: r.range(20.0, 120.0) });
    s.vents = true;
    let turns = r.chance(0.5);
    s.dry = Dry::Fan {
        minutes: r.range(110.0, 320.0),
        on: r.range(5.0, 25.0),
        off: if turns { r.range(2.0, 15.0) } else { 0.0 },
    };
    done(r, m, &s)
}

pub fn sorption(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    m.fan_watts = r.range(15.0, 35.0);
    m.dry_watts = r.range(900.0, 1500.0);
    s.dry = Dry::Sorption { heated: r.range(6.0, 14.0), blown: r.range(8.0, 25.0) };
    s.desorb = r.chance(0.4).then(|| r.range(12.0, 24.0));
    done(r, m, &s)
}

pub fn vented(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = hot(r, kind);
    m.vent = Some(Device { watts: r.range(3.0, 9.0), seconds: r.range(60.0, 240.0) });
    s.vents = true;
    s.dry = Dry::Element {
        minutes: r.range(20.0, 60.0),
        share: r.range(0.25, 0.6),
        on: r.range(60.0, 400.0),
        off: r.range(30.0, 90.0),
    };
    done(r, m, &s)
}
