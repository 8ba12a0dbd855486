//! Drying the load.

use crate::clock::ticks;
use crate::programme::Dry;
use crate::sim::{DT, Sim, Step};

/// Dry in the way that the programme says.
pub fn dry(sim: &mut Sim, how: &Dry) -> Step {
    sim.off();
    match *how {
        Dry::Still { minutes } => {
            let s = sim.time(minutes * 60.0);
            sim.run(s)
        }
        Dry::Element { minutes, share, on, off } => element(sim, minutes, share, on, off),
        Dry::Fan { minutes, on, off } => fan(sim, minutes, on, off),
        Dry::Sorption { heated, blown } => {
            sim.out.fan = true;
            let s = sim.rng.range(5.0, 20.0);
            sim.run(s)?;
            sim.out.dry = true;
            let s = sim.time(heated * 60.0);
            sim.run(s)?;
            sim.out.dry = false;
            let s = sim.time(blown * 60.0);
            sim.run(s)?;
            sim.off();
            Ok(())
        }
    }
}

/// The water's element in air, by on and off times in seconds, held back by its thermostat.
fn element(sim: &mut Sim, minutes: f64, share: f64, on: f64, off: f64) -> Step {
    let all = sim.time(minutes * 60.0);
    let (mut gone, mut left, mut hot, mut safe) = (0.0, 0, false, true);
    let opens = sim.rng.range(72.0, 82.0);
    while gone < all {
        if left == 0 {
            hot = !hot;
            let s = if hot { on } else { off };
            left = ticks(sim.time(s));
        }
        left -= 1;
        // A bimetal switch that closes again some kelvins lower.
        let limit = if safe { opens } else { opens - 7.0 };
        safe = sim.plant.load_celsius < limit;
        sim.out.air_heat = if hot && safe { share } else { 0.0 };
        sim.tick()?;
        gone += DT;
    }
    sim.off();
    Ok(())
}

/// A fan for minutes, in turns of on and off minutes; no off minutes means all the time.
fn fan(sim: &mut Sim, minutes: f64, on: f64, off: f64) -> Step {
    let mut left = sim.time(minutes * 60.0);
    while left > 0.0 {
        sim.out.fan = true;
        let s = if off > 0.0 { sim.time(on * 60.0).min(left) } else { left };
        sim.run(s)?;
        left -= s;
        if off > 0.0 && left > 0.0 {
            sim.off();
            let s = sim.time(off * 60.0).min(left);
            sim.run(s)?;
            left -= s;
        }
    }
    sim.off();
    Ok(())
}

/// Drive the water out of the sorbent with the dry heater and the fan.
pub fn desorb(sim: &mut Sim, minutes: f64) -> Step {
    sim.out.fan = true;
    sim.run(3.0)?;
    sim.out.dry = true;
    let s = sim.time(minutes * 60.0);
    sim.run(s)?;
    sim.out.dry = false;
    let s = sim.rng.range(20.0, 60.0);
    sim.run(s)?;
    sim.settle()
}
