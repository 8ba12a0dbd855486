//! One cycle from the start button to the end of the programme, with whatever happens on the way.

use crate::control;
use crate::fault::{Fault, Trouble};
use crate::frame::{Frame, Load};
use crate::machine::Machine;
use crate::plant::Plant;
use crate::programme::Programme;
use crate::rng::Rng;
use crate::sim::{Day, Out, Sim, Stop};

/// What a cycle finds when it starts.
#[derive(Clone, Debug)]
pub struct Conditions {
    pub plant: Plant,
    pub day: Day,
    /// A door opened at a share of the cycle for so many ticks.
    pub door: Option<(f64, usize)>,
    pub rng: Rng,
}

/// A cycle as it went.
pub struct Cycle {
    pub programme: &'static str,
    pub frames: Vec<Frame>,
    /// The tick at which the programme ended; frames may go on where something stays on.
    pub end: usize,
    /// The tick after which nothing but the control drew power.
    pub busy: usize,
    pub how: String,
    pub fault: Option<Fault>,
    /// A fault that was there and changed nothing.
    pub latent: Option<Fault>,
    pub severity: f64,
    pub events: Vec<String>,
    pub plant: Plant,
    pub cut: bool,
    pub gave_up: bool,
}

/// The last tick at which anything but the control drew power.
fn busy(frames: &[Frame]) -> usize {
    let control = Load::Control as usize;
    frames.iter().rposition(|f| f.total() - f.watts[control] > 0.5).unwrap_or(0)
}

/// Run a programme under conditions, with a trouble if there is one.
pub fn run(m: &Machine, p: &Programme, c: &Conditions, trouble: Option<Trouble>) -> Cycle {
    let mut plain = Sim::new(m, c.plant.clone(), c.day.clone(), c.rng.clone());
    let done = control::programme(&mut plain, p);
    if trouble.is_none() && c.door.is_none() {
        return finish(plain, p, done);
    }
    let long = busy(&plain.frames);
    let mut sim = Sim::new(m, c.plant.clone(), c.day.clone(), c.rng.clone());
    sim.door = c.door.map(|(share, ticks)| ((share * long as f64) as usize, ticks));
    sim.trouble = trouble;
    if let Some(t) = trouble {
        let at = ((0.08 + 0.84 * t.place) * long as f64) as usize;
        match t.fault {
            Fault::CutOff => sim.cut = Some(at),
            Fault::Restarted => sim.restart = Some(at),
            _ => {}
        }
        sim.wrong.stick_drain = 1 + (t.place * plain.wrong.drains as f64) as usize;
        sim.wrong.stick_heat = (0.02 + 0.9 * t.place) * plain.wrong.heated;
    }
    let mut done = control::programme(&mut sim, p);
    while done == Err(Stop::Restart) {
        again(&mut sim);
        done = control::programme(&mut sim, p);
    }
    finish(sim, p, done)
}

/// What lies between being stopped in the middle and beginning again.
fn again(sim: &mut Sim) {
    let lost = sim.trouble.is_some_and(|t| t.other_sort);
    let seconds = if lost { sim.rng.range(60.0, 1200.0) } else { sim.rng.range(5.0, 90.0) };
    sim.events.push(if lost {
        format!("power lost for {seconds:.0} s, then from the beginning")
    } else {
        format!("stopped by the user and begun again after {seconds:.0} s")
    });
    sim.dispensing = 0;
    for _ in 0..crate::clock::ticks(seconds) {
        sim.advance(Out { awake: !lost, open: true, ..Out::default() });
    }
}

fn finish(mut sim: Sim, p: &Programme, done: Result<(), Stop>) -> Cycle {
    sim.off();
    let how = match done {
        Ok(()) => "finished".to_owned(),
        Err(Stop::Error(why)) => {
            // A control that gives up runs its drain pump first.
            let seconds = sim.rng.range(20.0, 120.0);
            for _ in 0..crate::clock::ticks(seconds) {
                sim.advance(Out { awake: true, drain: true, ..Out::default() });
            }
            format!("gave up: {why}")
        }
        Err(_) => "power lost".to_owned(),
    };
    let end = sim.frames.len();
    if sim.wrong.shown && sim.wrong.is_stuck() {
        let minutes = sim.rng.range(15.0, 120.0);
        sim.events.push(format!("still running for {minutes:.0} min after the end"));
        for _ in 0..crate::clock::ticks(minutes * 60.0) {
            sim.advance(Out { awake: true, ..Out::default() });
        }
    }
    let fault = sim.trouble.map(|t| t.fault);
    let shown = sim.wrong.shown;
    Cycle {
        programme: p.name,
        end,
        busy: busy(&sim.frames),
        how,
        fault: fault.filter(|_| shown),
        latent: fault.filter(|_| !shown),
        severity: sim.trouble.map_or(0.0, |t| t.severity),
        events: sim.events,
        plant: sim.plant,
        cut: done == Err(Stop::Cut),
        gave_up: matches!(done, Err(Stop::Error(_))),
        frames: sim.frames,
    }
}
