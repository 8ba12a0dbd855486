//! The heat and the water of the model against the handbook.

use strangers::plant::{Flows, Plant};
use strangers::water::{density, heat_capacity};

/// Perry's Chemical Engineers' Handbook, 9th edition, table 2-135 (saturated water):
/// kelvin and heat capacity in kJ per mol and kelvin.
const PERRY: [(f64, f64); 7] = [
    (280.0, 0.075688),
    (290.0, 0.075429),
    (300.0, 0.075320),
    (320.0, 0.075317),
    (330.0, 0.075373),
    (350.0, 0.075567),
    (360.0, 0.075708),
];

/// Kilograms in a mole of water.
const MOLE: f64 = 0.018_015;

fn tub(water: f64, celsius: f64, load_capacity: f64, loss: f64) -> Plant {
    Plant {
        water,
        celsius,
        load_celsius: celsius,
        room: 20.0,
        supply: 12.0,
        pipe: 12.0,
        pipe_mass: 0.5,
        load_capacity,
        loss,
        tank: 0.0,
        tank_celsius: 20.0,
        taken: 0.0,
        given: 0.0,
        heat_in: 0.0,
        heat_lost: 0.0,
    }
}

#[test]
fn heat_capacity_is_that_of_the_handbook() {
    for (kelvin, molar) in PERRY {
        let book = molar * 1000.0 / MOLE;
        let mine = heat_capacity(kelvin - 273.15);
        assert!((mine / book - 1.0).abs() < 0.001, "{kelvin} K: {mine} and {book}");
    }
    assert!((density(20.0) - 0.99821).abs() < 1e-4);
}

#[test]
fn two_kilowatts_warm_three_and_a_half_kilograms_by_the_right_amount() {
    // Almost no load and no loss: 3.5 kg from 15 to 55 degrees take 3.5 * 4.18 * 40 = 585.5 kJ.
    let mut p = tub(3.5, 15.0, 1.0, 0.0);
    let flows = Flows { heat: 2000.0, loss_times: 1.0, ..Flows::default() };
    let mut seconds = 0.0;
    while p.celsius < 55.0 {
        p.step(&flows, 0.1);
        seconds += 0.1;
    }
    let mean = (15..55).map(|t| heat_capacity(f64::from(t) + 0.5)).sum::<f64>() / 40.0;
    let right = 3.5 * mean * 40.0 / 2000.0;
    assert!((seconds / right - 1.0).abs() < 0.003, "{seconds} s and {right} s");
}

#[test]
fn heat_is_kept_in_water_and_load_or_lost() {
    let mut p = tub(3.5, 15.0, 12_000.0, 4.0);
    let flows = Flows { heat: 1800.0, shaft: 60.0, spray: 1.0, loss_times: 1.0, ..Flows::default() };
    let mut stored = 0.0;
    for _ in 0..12_000 {
        let (water, load) = (p.celsius, p.load_celsius);
        p.step(&flows, 0.1);
        stored += 3.5 * heat_capacity(water) * (p.celsius - water);
        stored += 12_000.0 * (p.load_celsius - load);
        if p.celsius > 80.0 {
            break;
        }
    }
    assert!((p.heat_in / (stored + p.heat_lost) - 1.0).abs() < 0.002);
    assert!(p.heat_lost > 0.0);
}

#[test]
fn mixing_keeps_the_heat() {
    let mut p = tub(2.0, 60.0, 1e12, 0.0);
    p.load_celsius = 36.0;
    let flows = Flows { inflow: 6.0, loss_times: 1.0, ..Flows::default() };
    p.touchless(&flows, 200);
    let right = (2.0 * 60.0 + p.taken * 12.0) / (2.0 + p.taken);
    assert!((p.celsius - right).abs() < 0.05, "{} and {right}", p.celsius);
}

/// Steps with the load held aside.
trait Aside {
    fn touchless(&mut self, flows: &Flows, ticks: usize);
}

impl Aside for Plant {
    fn touchless(&mut self, flows: &Flows, ticks: usize) {
        for _ in 0..ticks {
            // The load is at the water's temperature, so that nothing goes over to it.
            self.load_celsius = self.celsius;
            self.step(flows, 0.1);
        }
    }
}
