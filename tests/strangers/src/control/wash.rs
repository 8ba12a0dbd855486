//! Spraying, heating and soaking.

use super::next_arm;
use crate::clock::ticks;
use crate::machine::{Arms, HeatBy};
use crate::sim::{DT, Sim, Step, Stop};

/// The pump's rhythm over its arms.
struct Rhythm {
    left: usize,
    resting: bool,
    low: bool,
    moving: usize,
}

impl Rhythm {
    fn new() -> Self {
        Rhythm { left: 0, resting: true, low: true, moving: 0 }
    }

    /// Command the pump for this tick.
    fn command(&mut self, sim: &mut Sim, speed: f64) {
        let turn = self.left == 0;
        self.left = self.left.saturating_sub(1);
        match sim.m.wash.arms {
            Arms::Steady => {
                if turn {
                    next_arm(sim);
                    self.left = ticks(120.0);
                }
                sim.out.wash = speed;
            }
            Arms::Turns { run, rest } => {
                if turn {
                    self.resting = !self.resting;
                    let s = if self.resting { rest } else { run };
                    self.left = ticks(sim.time(s));
                    next_arm(sim);
                }
                sim.out.wash = if self.resting { 0.0 } else { speed };
            }
            Arms::Diverter { every, moving, .. } => {
                if turn {
                    self.left = ticks(sim.time(every));
                    self.moving = ticks(sim.rng.about(moving, 0.3));
                    next_arm(sim);
                }
                sim.out.divert = self.moving > 0;
                self.moving = self.moving.saturating_sub(1);
                sim.out.wash = speed;
            }
            Arms::Swing { low, period } => {
                if turn {
                    self.low = !self.low;
                    self.left = ticks(sim.time(period));
                    next_arm(sim);
                }
                sim.out.wash = if self.low { speed * low } else { speed };
            }
        }
    }
}

/// The heater's switching.
struct Thermostat {
    target: f64,
    on: bool,
    reached: bool,
    period: usize,
    on_ticks: usize,
}

impl Thermostat {
    fn command(&mut self, sim: &mut Sim, hold: bool) {
        let away = self.target - sim.plant.celsius;
        if away <= 0.0 {
            (self.on, self.reached) = (false, true);
        } else if !self.reached {
            self.on = true;
        }
        let keeps = self.reached && !hold;
        sim.out.heat = match sim.m.heater.by {
            HeatBy::Thermostat { band } => {
                if hold && away > band {
                    self.on = true;
                }
                if self.on && !keeps { 1.0 } else { 0.0 }
            }
            HeatBy::Stages { low } => {
                if hold && away > 1.5 {
                    self.on = true;
                }
                let stage = if away > 5.0 { 1.0 } else { low };
                if self.on && !keeps { stage } else { 0.0 }
            }
            HeatBy::Slices { period, cap } => {
                let all = ticks(period);
                if self.period == 0 {
                    self.period = all;
                    let least = if self.reached { 0.0 } else { 0.2 };
                    let share = if keeps { 0.0 } else { (away / 9.0).clamp(least, cap) };
                    self.on_ticks = (share * all as f64) as usize;
                }
                self.period -= 1;
                if all - self.period <= self.on_ticks { 1.0 } else { 0.0 }
            }
        };
    }
}

/// Spray for minutes, heating to a temperature if one is given.
pub fn wash(sim: &mut Sim, minutes: f64, speed: f64, heat: Option<f64>, hold: bool) -> Step {
    let wanted = ticks(sim.time(minutes * 60.0));
    let longest = ticks(sim.m.heater.limit_minutes * 60.0);
    let mut rhythm = Rhythm::new();
    let mut stat = heat.map(|target| Thermostat {
        target: target + sim.rng.normal(0.0, 0.3),
        on: false,
        reached: false,
        period: 0,
        on_ticks: 0,
    });
    let (mut counted, mut all) = (0, 0);
    let begin = sim.plant.celsius;
    let waits = sim.m.control.waits_for_heat;
    while counted < wanted {
        rhythm.command(sim, speed);
        let mut ready = true;
        if let Some(stat) = &mut stat {
            stat.command(sim, hold);
            ready = stat.reached || !waits;
        }
        sim.tick()?;
        all += 1;
        if ready {
            counted += 1;
        } else if all >= longest {
            let rise = sim.plant.celsius - begin;
            let asked = heat.unwrap_or(begin) - begin;
            if sim.m.control.notices_heat && rise < 0.3 * asked {
                return Err(Stop::Error("no heat"));
            }
            sim.events.push(format!("heating given up at {:.1} degrees", sim.plant.celsius));
            sim.out.heat = 0.0;
            stat = None;
        }
    }
    sim.out.heat = 0.0;
    sim.out.divert = false;
    Ok(())
}

/// Stand in the water, on some machines with a short stir every few minutes.
pub fn soak(sim: &mut Sim, minutes: f64, stir: bool) -> Step {
    sim.settle()?;
    let all = sim.time(minutes * 60.0);
    let mut gone = 0.0;
    let mut next = sim.rng.range(150.0, 300.0);
    while gone < all {
        sim.off();
        if stir && gone > next {
            sim.out.wash = 0.8;
            let s = sim.rng.range(8.0, 25.0);
            sim.run(s)?;
            gone += s;
            next = gone + sim.rng.range(150.0, 300.0);
        } else {
            sim.tick()?;
            gone += DT;
        }
    }
    Ok(())
}
