//! Other things on the same circuit: a refrigerator, a lamp.

use crate::clock::{PER_DAY, ticks};
use crate::rng::Rng;

/// What can be on the same circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Guest {
    Fridge,
    Lamp,
}

impl Guest {
    /// The guest of a name.
    pub fn named(name: &str) -> Option<Guest> {
        match name {
            "fridge" => Some(Guest::Fridge),
            "lamp" => Some(Guest::Lamp),
            _ => None,
        }
    }
}

/// One time for which a guest is on.
pub struct Visit {
    pub name: &'static str,
    pub from: usize,
    pub to: usize,
    pub watts: f64,
}

/// Add the guests' watts to a day and say when they were on.
pub fn add(watts: &mut [f32], guests: &[Guest], seed: u64, day: u64) -> Vec<Visit> {
    let mut visits = Vec::new();
    for guest in guests {
        match guest {
            Guest::Fridge => fridge(watts, seed, day, &mut visits),
            Guest::Lamp => lamp(watts, seed, day, &mut visits),
        }
    }
    visits
}

/// The rating and duty are the household's, the times are the day's.
fn fridge(watts: &mut [f32], seed: u64, day: u64, visits: &mut Vec<Visit>) {
    let mut own = Rng::stream(seed, "fridge", 0, 0);
    let (rated, on, off) = (own.range(55.0, 140.0), own.range(8.0, 22.0), own.range(14.0, 45.0));
    let mut r = Rng::stream(seed, "fridge", 1 + day, 1);
    let mut at = ticks(r.range(0.0, off * 60.0));
    while at < PER_DAY {
        let to = (at + ticks(r.about(on, 0.3) * 60.0)).min(PER_DAY);
        let mut sum = 0.0;
        for (n, w) in watts[at..to].iter_mut().enumerate() {
            let s = n as f64 * 0.1;
            let start = 1.0 + 5.0 * (-s / 0.2).exp() + 0.15 * (-s / 120.0).exp();
            let now = rated * start * r.normal(1.0, 0.006);
            sum += now;
            *w += now as f32;
        }
        visits.push(Visit { name: "fridge", from: at, to, watts: sum / (to - at) as f64 });
        at = to + ticks(r.about(off, 0.3) * 60.0);
    }
}

fn lamp(watts: &mut [f32], seed: u64, day: u64, visits: &mut Vec<Visit>) {
    let rated = Rng::stream(seed, "lamp", 0, 0).range(6.0, 60.0);
    let mut r = Rng::stream(seed, "lamp", 1 + day, 1);
    let mut at = ticks(r.range(6.0, 8.0) * 3600.0);
    while at < PER_DAY {
        let to = (at + ticks(r.range(3.0, 150.0) * 60.0)).min(PER_DAY);
        watts[at..to].iter_mut().for_each(|w| *w += rated as f32);
        visits.push(Visit { name: "lamp", from: at, to, watts: rated });
        at = to + ticks(r.range(5.0, 400.0) * 60.0);
    }
}
