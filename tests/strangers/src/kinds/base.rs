//! The two machines from which the kinds are made: cold-fed on 230 V, hot-fed on 120 V.

use super::style::Style;
use crate::machine::{
    Arms, Control, Device, DrainBy, DrainPump, FillBy, HeatBy, Heater, Machine, Motor, Source, Supply, Valve,
    WashPump,
};
use crate::rng::Rng;

/// A wash pump on an induction motor.
pub fn induction(r: &mut Rng, watts: f64) -> WashPump {
    WashPump {
        watts,
        motor: Motor::Induction,
        lag_degrees: r.range(15.0, 38.0),
        start_ratio: r.range(2.2, 4.5),
        ramp_seconds: 0.0,
        arms: Arms::Steady,
        floor: 0.35,
    }
}

/// A wash pump on an inverter, with a soft start.
pub fn inverter(r: &mut Rng, watts: f64) -> WashPump {
    WashPump {
        watts,
        motor: Motor::Inverter,
        lag_degrees: 0.0,
        start_ratio: 1.0,
        ramp_seconds: r.range(1.5, 5.0),
        arms: Arms::Steady,
        floor: 0.12,
    }
}

/// A drain pump with a synchronous motor that drains by time.
pub fn drain(r: &mut Rng, watts: f64, litres: f64) -> DrainPump {
    let lpm = r.range(9.0, 17.0);
    DrainPump {
        watts,
        on_air: r.range(0.62, 0.92),
        litres_per_minute: lpm,
        by: DrainBy::Time(enough(litres, lpm) + r.range(0.0, 25.0)),
        motor: Motor::Synchronous,
        lag_degrees: r.range(48.0, 66.0),
        with_wash: false,
        same_motor: false,
    }
}

/// Seconds that empty any water of a machine with a reserve.
pub fn enough(litres: f64, lpm: f64) -> f64 {
    8.0 + (1.2 * litres + 1.5) / lpm * 60.0 * 1.3
}

fn control(r: &mut Rng) -> Control {
    Control {
        awake_watts: r.range(1.0, 2.6),
        asleep_watts: if r.chance(0.6) { r.range(0.1, 0.5) } else { 0.0 },
        delay_watts: r.range(0.8, 2.0),
        lamp_watts: r.range(0.6, 1.2),
        lamp_minutes: r.range(2.0, 30.0),
        notices_fill: true,
        notices_heat: r.chance(0.5),
        notices_drain: r.chance(0.6),
        waits_for_heat: true,
        sloppiness: r.range(0.001, 0.006),
        first_drain: if r.chance(0.7) { r.range(4.0, 25.0) } else { 0.0 },
    }
}

/// Cold-fed on 230 V and 50 Hz, with an electronic control.
pub fn cold(r: &mut Rng, kind: &'static str) -> (Machine, Style) {
    let litres = r.range(2.9, 4.3);
    let wash = r.range(70.0, 190.0);
    let valve = Valve {
        watts: r.range(4.5, 9.0),
        litres_per_minute: r.range(2.3, 3.8),
        by: if r.chance(0.5) { FillBy::Meter } else { FillBy::Level },
        top_up: r.chance(0.4),
    };
    let drained = r.range(18.0, 34.0);
    let machine = Machine {
        kind,
        volts: 230.0,
        hertz: 50.0,
        supply: Supply {
            celsius: r.range(8.0, 18.0),
            spread: r.range(0.6, 2.0),
            pipe_litres: r.range(0.3, 1.2),
        },
        valve,
        wash: induction(r, wash),
        drain: drain(r, drained, litres),
        heater: Heater {
            watts: r.range(1650.0, 2250.0),
            source: Source::Element,
            by: HeatBy::Thermostat { band: r.range(2.0, 5.0) },
            in_flow: r.chance(0.7),
            limit_minutes: r.range(45.0, 75.0),
        },
        control: control(r),
        dispenser: Device { watts: r.range(4.0, 12.0), seconds: r.range(2.0, 60.0) },
        vent: None,
        fan_watts: 0.0,
        dry_watts: 0.0,
        softener: None,
        tank_valve: None,
        tub_kj: r.range(4.5, 7.5),
        dishes_kj: r.range(5.0, 9.0),
        loss: r.range(2.4, 5.0),
        litres,
        delay_chance: 0.04,
        programmes: Vec::new(),
    };
    let style = Style::usual(r, litres);
    (machine, style)
}

/// Hot-fed on 120 V and 60 Hz, filling by time, with an element in the tub that also dries.
pub fn hot(r: &mut Rng, kind: &'static str) -> (Machine, Style) {
    let (mut m, mut s) = cold(r, kind);
    (m.volts, m.hertz) = (120.0, 60.0);
    m.litres = r.range(4.6, 6.8);
    s.litres = m.litres;
    m.supply =
        Supply { celsius: r.range(46.0, 56.0), spread: r.range(1.0, 3.0), pipe_litres: r.range(1.0, 3.5) };
    m.valve = Valve {
        watts: r.range(8.0, 14.0),
        litres_per_minute: r.range(3.8, 4.8),
        by: FillBy::Time,
        top_up: false,
    };
    let w = r.range(170.0, 300.0);
    m.wash = induction(r, w);
    let w = r.range(25.0, 60.0);
    m.drain = drain(r, w, m.litres);
    m.heater.watts = r.range(600.0, 1150.0);
    m.heater.in_flow = false;
    m.heater.limit_minutes = r.range(15.0, 40.0);
    m.control.notices_fill = false;
    m.control.notices_heat = false;
    m.control.notices_drain = r.chance(0.4);
    m.control.waits_for_heat = r.chance(0.7);
    s.main = [r.range(50.0, 57.0), r.range(58.0, 66.0), r.range(47.0, 50.0)];
    s.last = r.chance(0.7).then(|| r.range(55.0, 63.0));
    s.pres = r.whole(1, 3);
    s.dry = crate::programme::Dry::Element {
        minutes: r.range(15.0, 40.0),
        share: 1.0,
        on: r.range(60.0, 600.0),
        off: r.range(30.0, 120.0),
    };
    (m, s)
}

/// The machine with the programmes of its style.
pub fn done(r: &mut Rng, mut m: Machine, s: &Style) -> Machine {
    m.programmes = s.programmes(r);
    m
}
