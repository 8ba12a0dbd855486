//! The control: it takes a programme part by part and commands the loads.

pub mod drain;
pub mod dry;
pub mod fill;
pub mod wash;

use crate::fault::Fault;
use crate::machine::Arms;
use crate::programme::{Act, Part, Programme, Role, Water, Way};
use crate::sim::{Sim, Step, Stop};

/// The parts as this cycle takes them: a rinse more or less.
fn parts(sim: &mut Sim, programme: &Programme) -> Vec<Part> {
    let mut parts = programme.parts.clone();
    let of =
        |parts: &[Part], role: Role| parts.iter().position(|p| matches!(p, Part::Water(w) if w.role == role));
    let rinse = of(&parts, Role::Rinse).or_else(|| of(&parts, Role::Pre));
    if sim.day.dirty
        && let Some(at) = of(&parts, Role::Rinse)
    {
        let more = parts[at].clone();
        parts.insert(at, more);
        sim.events.push("extra rinse for a dirty load".into());
    }
    let Some(at) = rinse else { return parts };
    if sim.has(Fault::AddedRinse) {
        let plain = sim.trouble.is_some_and(|t| t.severity > 0.6);
        for _ in 0..if plain { 2 } else { 1 } {
            let more = parts[at].clone();
            parts.insert(at, more);
        }
        sim.wrong.shown = true;
    } else if sim.has(Fault::MissingRinse) {
        parts.remove(at);
        sim.wrong.shown = true;
    }
    parts
}

/// Run a programme from its beginning to its end.
pub fn programme(sim: &mut Sim, programme: &Programme) -> Step {
    sim.left = 0.0;
    let parts = parts(sim, programme);
    sim.settle()?;
    if sim.m.control.first_drain > 0.0 || sim.plant.water > 0.3 {
        drain::first(sim)?;
    }
    for part in &parts {
        match part {
            Part::Water(w) => water(sim, w)?,
            Part::Desorb { minutes } => dry::desorb(sim, *minutes)?,
            Part::Vent => vent(sim)?,
            Part::Soften => {
                if regenerate(sim)? {
                    drain::drain(sim)?;
                }
            }
            Part::Dry(d) => dry::dry(sim, d)?,
        }
    }
    sim.off();
    Ok(())
}

fn vent(sim: &mut Sim) -> Step {
    if let Some(v) = sim.m.vent {
        let s = sim.time(v.seconds);
        sim.venting = crate::clock::ticks(s);
    }
    sim.settle()
}

fn water(sim: &mut Sim, w: &Water) -> Step {
    match w.from {
        Way::Tank if sim.plant.tank > 0.6 * w.litres => fill::from_tank(sim)?,
        // What an earlier water has left on purpose need not come in again.
        _ => {
            let left = std::mem::take(&mut sim.left);
            fill::fill(sim, w.litres - left)?;
        }
    }
    for act in &w.acts {
        match act {
            Act::Wash { minutes, speed, heat, hold } => {
                wash::wash(sim, *minutes, *speed, *heat, *hold)?;
            }
            Act::Dispense => dispense(sim),
            Act::Soak { minutes, stir } => wash::soak(sim, *minutes, *stir)?,
            Act::Regenerate => {
                regenerate(sim)?;
            }
        }
    }
    sim.settle()?;
    match w.to {
        _ if w.leaves > 0.0 => drain::partly(sim, w.leaves)?,
        Way::Tank => drain::to_tank(sim)?,
        Way::Mains => drain::drain(sim)?,
    }
    sim.settle()
}

/// Power the dispenser. It runs beside what follows.
fn dispense(sim: &mut Sim) {
    // Some loads foam for some minutes once the detergent is in.
    sim.foam = if sim.rng.chance(0.4) { sim.rng.range(0.01, 0.12) } else { 0.0 };
    let mut s = sim.time(sim.m.dispenser.seconds);
    if let Some(t) = sim.trouble
        && t.fault == Fault::DispenserStuck
    {
        sim.wrong.shown = true;
        // Either its coil is open, or the control powers it for long because nothing moves.
        s = if t.other_sort { 0.0 } else { s * t.between(2.5, 6.0) };
    }
    sim.dispensing = (s * 10.0) as usize;
}

/// Let brine into the softener and flush it, if its turn has come; true if it had.
fn regenerate(sim: &mut Sim) -> Result<bool, Stop> {
    let Some(soft) = sim.m.softener else {
        return Ok(false);
    };
    if !sim.day.regenerate {
        return Ok(false);
    }
    sim.events.push("softener regenerated".into());
    sim.settle()?;
    sim.out.soft = true;
    let s = sim.time(soft.brine_seconds);
    sim.run(s)?;
    sim.out.soft = false;
    // The flush goes through the softener into the tub and out with the next drain.
    sim.out.valve = true;
    let s = soft.flush_litres / sim.m.valve.litres_per_minute * 60.0;
    sim.run(s)?;
    sim.settle()?;
    Ok(true)
}

/// Pick the arm that is fed next; each loads the pump a little differently.
pub fn next_arm(sim: &mut Sim) {
    sim.arm = match sim.m.wash.arms {
        Arms::Steady | Arms::Swing { .. } => sim.rng.range(0.985, 1.015),
        _ => sim.rng.range(0.92, 1.06),
    };
}
