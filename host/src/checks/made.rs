//! Runs made by hand, second by second, for the tests of checks.

use std::sync::Arc;

use tubtrace_units::{Load, Loads, Seconds, Watts};

use super::check::Check;
use super::run::Run;
use crate::intervals::{Cycle, Interval, Kind, Measured, Record, Seen, Sign};
use crate::loads::{Heater, Posterior, Signatures};
use crate::trace::Step;

/// What a machine does, for how many seconds, and how many watts it draws meanwhile.
pub type Part = (Kind, u32, f64);

pub const FILL: Part = (Kind::Fill, 60, 16.0);
pub const WASH: Part = (Kind::Wash, 300, 90.0);
pub const HEAT: Part = (Kind::Heat, 600, 2_090.0);
pub const DRAIN: Part = (Kind::Drain, 60, 35.0);

/// A healthy run: a wash, three rinses, the last of them hot, and drying. No real machine.
pub const HEALTHY: [Part; 16] = [
    FILL,
    WASH,
    HEAT,
    DRAIN,
    FILL,
    WASH,
    DRAIN,
    FILL,
    WASH,
    DRAIN,
    FILL,
    WASH,
    HEAT,
    DRAIN,
    (Kind::Dry, 600, 2_000.0),
    (Kind::Dry, 300, 9.0),
];

/// What the check measures of a run of these parts.
pub fn signs(check: &Check, parts: &[Part]) -> Vec<Sign> {
    signs_with(check, parts, |_, watts| watts)
}

/// The same, where what is read at a second of a run is another power than that of its part.
pub fn signs_with(check: &Check, parts: &[Part], read: impl Fn(u32, f64) -> f64) -> Vec<Sign> {
    let cycle = cycle(parts, read);
    (check.measure)(&Run::of_cycle(&cycle).unwrap())
}

/// The run of these parts, likewise.
pub fn cycle(parts: &[Part], read: impl Fn(u32, f64) -> f64) -> Cycle {
    let (mut intervals, mut steps, mut second, mut water) = (Vec::new(), Vec::new(), 0, 0);
    for &(kind, lasts, watts) in parts {
        water += u32::from(kind == Kind::Fill);
        let at = |second: u32| Seconds(f64::from(second));
        let measured = Measured { power: Watts(watts), ..Measured::default() };
        let (start, end, loads) = (at(second), at(second + lasts), loads(kind, watts));
        intervals.push(Interval {
            kind,
            loads,
            start,
            end,
            certainty: 1.0,
            states: Posterior::default(),
            water,
            measured,
        });
        let step = |s| Step { start: at(s), end: at(s + 1), power: Watts(read(s, watts)), detail: None };
        steps.extend((second..second + lasts).map(step));
        second += lasts;
    }
    let heater = Heater { level: Watts(2_090.0), dry: Watts(2_001.0), threshold: Watts(1_045.0) };
    let signatures = Signatures {
        meter: Watts(1.0),
        standby: Watts(1.0),
        fill: Watts(15.0),
        drain: Watts(34.0),
        wash: Watts(89.0),
        speeds: None,
        given: false,
        small: None,
        heater: Some(heater),
        flow: None,
    };
    let record = Record {
        steps: steps.into_iter().collect(),
        resolution: Seconds(1.0),
        until: Seconds(f64::from(second) + 7_200.0),
        signatures: Some(signatures),
        ..Record::default()
    };
    Cycle {
        intervals,
        cut_at_start: false,
        cut_at_end: false,
        seen: Seen::Current,
        resolution: Seconds(1.0),
        idle_supply_noise: None,
        record: Arc::new(record),
    }
}

fn loads(kind: Kind, watts: f64) -> Loads {
    let on: &[Load] = match kind {
        Kind::Fill => &[Load::FillValve],
        Kind::Wash => &[Load::WashPump],
        Kind::Heat => &[Load::WashPump, Load::Heater],
        Kind::Drain => &[Load::DrainPump],
        Kind::Dry if watts > 500.0 => &[Load::Heater],
        Kind::Dry => &[Load::Vent],
        _ => &[],
    };
    on.iter().fold(Loads::NONE, |all, load| all.with(*load, true))
}
