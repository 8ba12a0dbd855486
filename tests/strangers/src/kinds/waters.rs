//! Kinds that differ in their waters: where they come from, how often, how warm.

use super::base::{cold, done, hot};
use crate::machine::{Device, FillBy, Machine, Softener, Supply};
use crate::programme::Dry;
use crate::rng::Rng;

pub fn plain_cold(r: &mut Rng, kind: &'static str) -> Machine {
    let (m, s) = cold(r, kind);
    done(r, m, &s)
}

pub fn plain_hot(r: &mut Rng, kind: &'static str) -> Machine {
    let (m, s) = hot(r, kind);
    done(r, m, &s)
}

pub fn hot_fed(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    m.supply =
        Supply { celsius: r.range(48.0, 60.0), spread: r.range(1.5, 4.0), pipe_litres: r.range(0.8, 3.5) };
    s.rinses = 1;
    done(r, m, &s)
}

pub fn hot_dry_only(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = hot(r, kind);
    s.heats = false;
    s.last = None;
    s.rinses = r.whole(1, 3);
    m.heater.watts = r.range(450.0, 900.0);
    s.dry = Dry::Element {
        minutes: r.range(20.0, 45.0),
        share: 1.0,
        on: r.range(300.0, 1500.0),
        off: r.range(20.0, 200.0),
    };
    done(r, m, &s)
}

pub fn tank(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    m.tank_valve = Some(r.range(4.0, 9.0));
    s.tank = true;
    s.rinses = 1;
    done(r, m, &s)
}

pub fn soak(r: &mut Rng, kind: &'static str) -> Machine {
    let (m, mut s) = cold(r, kind);
    s.soak = Some(r.range(15.0, 20.0));
    s.stir = r.chance(0.5);
    let mut m = done(r, m, &s);
    // A soak is what this kind is about, so the programmes that have one are always there.
    if !m.programmes.iter().any(|p| p.name == "economy") {
        m.programmes.remove(0);
        m.programmes.push(s.economy());
    }
    m
}

pub fn softener(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    s.softens_last = r.chance(0.5);
    m.softener = Some(Softener {
        watts: r.range(4.0, 8.0),
        brine_seconds: r.range(60.0, 300.0),
        flush_litres: if s.softens_last { r.range(2.0, 4.0) } else { r.range(0.3, 0.9) },
        every: r.whole(2, 6),
    });
    done(r, m, &s)
}

pub fn tabletop(r: &mut Rng, kind: &'static str) -> Machine {
    let (mut m, mut s) = cold(r, kind);
    m.litres = r.range(1.9, 2.6);
    s.litres = m.litres;
    m.heater.watts = r.range(700.0, 1200.0);
    m.wash.watts = r.range(35.0, 80.0);
    m.drain.watts = r.range(10.0, 22.0);
    m.drain.litres_per_minute = r.range(6.0, 10.0);
    let s10 = super::base::enough(m.litres, m.drain.litres_per_minute);
    m.drain.by = crate::machine::DrainBy::Time(s10 + r.range(0.0, 10.0));
    m.tub_kj = r.range(1.8, 3.0);
    m.dishes_kj = r.range(2.0, 3.5);
    m.loss = r.range(1.2, 2.4);
    m.valve.by = FillBy::Level;
    m.dispenser = Device { watts: r.range(3.0, 6.0), seconds: r.range(1.0, 4.0) };
    s.dry = Dry::Still { minutes: r.range(5.0, 15.0) };
    done(r, m, &s)
}
