//! A day: which programmes, when, and what lies between them.

use crate::carry::Carry;
use crate::clock::{PER_DAY, ticks};
use crate::cycle::{self, Cycle};
use crate::fault::Trouble;
use crate::machine::Machine;
use crate::rng::Rng;

/// A cycle with its place in the day.
pub struct Placed {
    pub start: usize,
    /// When the user set a delayed start.
    pub set: Option<usize>,
    pub cycle: Cycle,
}

/// A span of the day in which only the control draws something.
pub struct Idle {
    pub from: usize,
    pub to: usize,
    pub watts: f64,
    pub name: &'static str,
}

/// The recording of a day before any meter.
pub struct Record {
    pub watts: Vec<f32>,
    pub cycles: Vec<Placed>,
    pub idle: Vec<Idle>,
}

/// Hours at which households start a machine, with weights (common practice, no source).
const HOURS: [(f64, f64, f64); 4] =
    [(7.0, 9.5, 0.2), (12.5, 15.0, 0.3), (17.0, 19.0, 0.15), (19.5, 22.0, 0.35)];

/// Make a day. `trouble` is the fault of this day, if it has one.
pub fn make(m: &Machine, carry: &mut Carry, day: u64, trouble: Option<Trouble>) -> Record {
    let mut r = Rng::stream(carry.seed, "day", day, 0);
    let wanted = 1 + r.weighted(&[0.45, 0.4, 0.15]);
    let weights: Vec<f64> = m.programmes.iter().map(|p| p.weight).collect();
    let mut hours: Vec<f64> = (0..wanted)
        .map(|_| {
            let (low, high, _) = HOURS[r.weighted(&HOURS.map(|h| h.2))];
            r.range(low, high)
        })
        .collect();
    hours.sort_by(f64::total_cmp);
    let hit = r.whole(0, wanted - 1);
    let place = r.unit();
    let mut record = Record { watts: Vec::new(), cycles: Vec::new(), idle: Vec::new() };
    let mut free = ticks(1800.0);
    for (n, hour) in hours.iter().enumerate() {
        let p = &m.programmes[r.weighted(&weights)];
        let delay = if r.chance(m.delay_chance) { r.range(0.5, 8.0) } else { 0.0 };
        let bailed = r.chance(0.6);
        let settled = ticks(r.range(1200.0, 5400.0));
        let set = ticks(hour * 3600.0).max(free);
        let start = set + (delay * 36_000.0) as usize;
        let rest = if n == 0 { 40_000.0 } else { (start - free) as f64 / 10.0 + 1200.0 };
        let c = carry.conditions(m, p.extra_rinse, rest, day);
        let mine = trouble
            .filter(|t| !t.fault.once() || n == hit)
            .map(|t| Trouble { place: if t.fault.once() { place } else { t.place }, ..t });
        let cycle = cycle::run(m, p, &c, mine);
        let long = cycle.frames.len();
        // A day holds what ends on it; what does not fit is moved to an earlier time.
        let last = PER_DAY - ticks(600.0);
        let start = if start + long > last { last.saturating_sub(long) } else { start };
        if start < free {
            break;
        }
        let set = (delay > 0.0).then_some(set.min(start)).filter(|s| *s + 600 < start);
        carry.plant = cycle.plant.clone();
        // Somebody bails it out, or the water stays for the next cycle to drain.
        if (cycle.gave_up || cycle.cut) && bailed {
            carry.plant.water = 0.0;
        }
        carry.count += 1;
        free = start + long + settled;
        record.cycles.push(Placed { start, set, cycle });
    }
    between(m, &mut record, &mut r);
    lay(&mut record);
    record
}

/// The spans between the cycles: asleep, waiting for a delayed start, lamp after the end.
fn between(m: &Machine, record: &mut Record, r: &mut Rng) {
    let c = &m.control;
    let mut spans = Vec::new();
    let mut from = 0;
    let mut last: Option<&Placed> = None;
    let ends = record.cycles.iter().map(Some).chain([None]);
    for next in ends {
        let to = next.map_or(PER_DAY, |p| p.set.unwrap_or(p.start));
        if let Some(p) = last {
            let (watts, minutes, name) = if p.cycle.cut {
                (0.0, r.range(2.0, 90.0), "power lost")
            } else if p.cycle.gave_up {
                (c.awake_watts + 0.5, r.range(5.0, 120.0), "error shown")
            } else {
                (c.lamp_watts, r.about(c.lamp_minutes, 0.15), "end shown")
            };
            let stop = (from + ticks(minutes * 60.0)).min(to);
            spans.push(Idle { from, to: stop, watts, name });
            from = stop;
        }
        spans.push(Idle { from, to, watts: c.asleep_watts, name: "asleep" });
        if let Some(p) = next {
            if p.set.is_some() {
                let watts = c.delay_watts;
                spans.push(Idle { from: to, to: p.start, watts, name: "waiting to start" });
            }
            from = p.start + p.cycle.frames.len();
        }
        last = next;
    }
    spans.retain(|s| s.to > s.from);
    record.idle = spans;
}

/// The watts of the whole day.
fn lay(record: &mut Record) {
    let mut watts = vec![0.0f32; PER_DAY];
    for s in &record.idle {
        watts[s.from..s.to].fill(s.watts as f32);
    }
    for p in &record.cycles {
        for (w, f) in watts[p.start..].iter_mut().zip(&p.cycle.frames) {
            *w = f.total();
        }
    }
    record.watts = watts;
}
