//! Letting water out.

use crate::clock::ticks;
use crate::machine::DrainBy;
use crate::sim::{Sim, Step, Stop};

/// Water at which a level sensor, or the next fill, knows that the tub is not empty.
const LEFT: f64 = 0.3;

/// The short run before a programme, longer when water stands in the tub.
pub fn first(sim: &mut Sim) -> Step {
    if sim.plant.water > LEFT {
        return drain(sim);
    }
    pump(sim, sim.m.control.first_drain)?;
    sim.settle()
}

fn pump(sim: &mut Sim, seconds: f64) -> Step {
    sim.out.drain = true;
    let s = sim.time(seconds);
    sim.run(s)?;
    sim.out.drain = false;
    Ok(())
}

/// Drain the tub, trying again where the control notices that water is left.
pub fn drain(sim: &mut Sim) -> Step {
    if sim.m.drain.same_motor {
        // The motor has to stand before it can turn the other way round.
        let s = sim.rng.range(2.0, 5.0);
        sim.run(s)?;
    }
    let tries = if sim.m.control.notices_drain { 3 } else { 1 };
    for again in 0..tries {
        if again > 0 {
            sim.off();
            let s = sim.rng.range(5.0, 30.0);
            sim.run(s)?;
        }
        once(sim)?;
        if sim.plant.water < LEFT {
            return Ok(());
        }
        sim.wrong.shown |= sim.trouble.is_some();
    }
    if sim.m.control.notices_drain {
        return Err(Stop::Error("water does not drain"));
    }
    sim.events.push(format!("{:.1} kg of water left in the tub", sim.plant.water));
    Ok(())
}

fn once(sim: &mut Sim) -> Step {
    if sim.m.drain.with_wash {
        // Both pumps at first: the wash pump stirs up what has settled.
        sim.out.wash = 0.8;
        sim.out.drain = true;
        let s = sim.rng.range(4.0, 9.0);
        sim.run(s)?;
        sim.out.wash = 0.0;
    }
    match sim.m.drain.by {
        DrainBy::Time(s) => pump(sim, s),
        DrainBy::Air(tail) => {
            let tail = sim.rng.about(tail, 0.2);
            until_air(sim, tail)
        }
        DrainBy::Purges { shortest, longest, count } => {
            let share = sim.rng.range(0.5, 0.9);
            until_left(sim, share)?;
            let mut done = 0;
            while done < count || (sim.plant.water > LEFT / 3.0 && done < 3 * count) {
                sim.off();
                let s = sim.rng.range(1.5, 9.0);
                sim.run(s)?;
                sim.out.drain = true;
                let s = sim.rng.range(shortest, longest);
                sim.run(s)?;
                sim.out.drain = false;
                done += 1;
            }
            let tail = sim.rng.range(4.0, 14.0);
            until_air(sim, tail)
        }
    }
}

/// Let a share of the water stay for the next one.
pub fn partly(sim: &mut Sim, share: f64) -> Step {
    let share = sim.rng.about(share, 0.06);
    until_left(sim, 1.0 - share)?;
    sim.left = sim.plant.water;
    Ok(())
}

/// Run until only a share of the water is left, or a minute has gone.
fn until_left(sim: &mut Sim, gone: f64) -> Step {
    let stop = sim.plant.water * (1.0 - gone);
    sim.out.drain = true;
    for _ in 0..600 {
        sim.tick()?;
        if sim.plant.water < stop {
            break;
        }
    }
    sim.out.drain = false;
    Ok(())
}

/// Run until the pump has drawn air for so many seconds, or the control's limit has come.
fn until_air(sim: &mut Sim, tail: f64) -> Step {
    let limit = ticks(sim.rng.range(110.0, 150.0));
    let mut dry = 0;
    sim.out.drain = true;
    for _ in 0..limit {
        sim.tick()?;
        if sim.plant.water < 0.02 {
            dry += 1;
        }
        if dry >= ticks(tail) {
            break;
        }
    }
    sim.out.drain = false;
    Ok(())
}

/// Keep this water in the tank: the wash pump lifts it there; what is left is drained.
pub fn to_tank(sim: &mut Sim) -> Step {
    if sim.plant.tank > 0.5 {
        return drain(sim);
    }
    sim.out.wash = 0.7;
    sim.out.to_tank = true;
    for _ in 0..600 {
        sim.tick()?;
        if sim.plant.water < 0.4 {
            break;
        }
    }
    sim.settle()?;
    drain(sim)
}
