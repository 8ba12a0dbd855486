//! Letting water in.

use crate::clock::ticks;
use crate::machine::FillBy;
use crate::sim::{Sim, Step, Stop};

/// The level at which every tub's overflow guard acts, as a multiple of a usual water.
const FLOOD: f64 = 2.1;

/// Seconds after which a fill that does not end is given up.
fn patience(sim: &Sim, litres: f64) -> f64 {
    60.0 + 3.2 * litres / sim.m.valve.litres_per_minute * 60.0
}

/// Too much water: the guard shuts the valve, drains what it can and the control gives up.
fn flooded(sim: &mut Sim) -> Step {
    if sim.plant.water < FLOOD * sim.m.litres {
        return Ok(());
    }
    sim.off();
    sim.out.drain = true;
    let s = sim.rng.range(60.0, 180.0);
    sim.run(s)?;
    Err(Stop::Error("overflow guard"))
}

/// Fill with so many litres.
pub fn fill(sim: &mut Sim, litres: f64) -> Step {
    let tries = if sim.m.control.notices_fill { 1 + sim.rng.whole(0, 2) } else { 1 };
    for again in 0..tries {
        if again > 0 {
            sim.off();
            let s = sim.rng.range(8.0, 40.0);
            sim.run(s)?;
        }
        if once(sim, litres)? {
            return after(sim);
        }
    }
    if sim.m.control.notices_fill {
        return Err(Stop::Error("no water"));
    }
    after(sim)
}

/// One try; true when the control believes that the water is there.
fn once(sim: &mut Sim, litres: f64) -> Result<bool, Stop> {
    let want = litres * sim.rng.normal(1.0, 0.012);
    let before = sim.plant.taken;
    let longest = ticks(patience(sim, litres));
    match sim.m.valve.by {
        FillBy::Time => {
            let s = litres / sim.m.valve.litres_per_minute * 60.0;
            let s = sim.time(s);
            sim.out.valve = true;
            for _ in 0..ticks(s) {
                sim.tick()?;
                flooded(sim)?;
            }
            return Ok(true);
        }
        FillBy::Float => {
            let s = 1.4 * litres / sim.m.valve.litres_per_minute * 60.0;
            let (mut up, mut bounce) = (false, sim.rng.whole(0, 3));
            for _ in 0..ticks(s) {
                sim.out.valve = !up;
                sim.tick()?;
                if !up && sim.plant.water >= want {
                    up = true;
                } else if up && bounce > 0 && sim.rng.chance(0.05) {
                    // The float dips once or twice in the moving water.
                    up = false;
                    bounce -= 1;
                }
            }
            return Ok(true);
        }
        _ => {}
    }
    let metered = sim.m.valve.by == FillBy::Meter;
    let (mut left, mut open) = (0usize, false);
    for _ in 0..longest {
        if let FillBy::Pulses { on, off } = sim.m.valve.by {
            if left == 0 {
                open = !open;
                let s = if open { on } else { off };
                left = ticks(sim.rng.about(s, 0.2));
            }
            left -= 1;
        } else {
            open = true;
        }
        sim.out.valve = open;
        sim.tick()?;
        flooded(sim)?;
        let now = if metered { sim.plant.taken - before } else { sim.plant.water };
        if now >= want {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Shut, and on some machines wet the dishes and top up.
fn after(sim: &mut Sim) -> Step {
    sim.out.valve = false;
    sim.settle()?;
    if sim.m.valve.top_up && sim.plant.water < 1.4 * sim.m.litres {
        sim.out.wash = 1.0;
        let s = sim.rng.range(8.0, 16.0);
        sim.run(s)?;
        sim.out.valve = true;
        let s = sim.rng.range(2.5, 7.0);
        sim.run(s)?;
        sim.out.valve = false;
    }
    Ok(())
}

/// Take the water that the tank has kept.
pub fn from_tank(sim: &mut Sim) -> Step {
    sim.events.push("water from the tank".into());
    sim.out.tank_valve = true;
    let mut over = 0.0;
    while over < 4.0 {
        sim.tick()?;
        if sim.plant.tank < 0.02 {
            over += 0.1;
        }
    }
    sim.settle()
}
