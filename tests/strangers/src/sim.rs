//! A machine at work: what the control commands, what then really happens, and its record.

use crate::clock::ticks;
use crate::fault::{Fault, Trouble};
use crate::faulty::Wrong;
use crate::frame::{Frame, LOADS};
use crate::machine::Machine;
use crate::plant::Plant;
use crate::rng::Rng;

/// Seconds in a tick.
pub const DT: f64 = 0.1;

/// Why a programme does not go on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stop {
    /// The power is lost.
    Cut,
    /// Somebody, or the power coming back, starts it again.
    Restart,
    /// The control gives up.
    Error(&'static str),
}

/// A step of the control, which may stop.
pub type Step = Result<(), Stop>;

/// What the control commands.
#[derive(Clone, Copy, Debug, Default)]
pub struct Out {
    pub valve: bool,
    pub tank_valve: bool,
    pub to_tank: bool,
    pub wash: f64,
    pub drain: bool,
    pub heat: f64,
    pub air_heat: f64,
    pub dry: bool,
    pub fan: bool,
    pub divert: bool,
    pub soft: bool,
    pub awake: bool,
    /// The door is open: its switch cuts every load.
    pub open: bool,
}

/// What differs from cycle to cycle.
#[derive(Clone, Debug)]
pub struct Day {
    /// Flow of the supply as a share of the nominal one.
    pub flow: f64,
    /// Flow of the drain as a share of the nominal one.
    pub head: f64,
    /// Offset of the voltage as a share.
    pub volts: f64,
    /// Whether the control finds the load so dirty that it adds a rinse.
    pub dirty: bool,
    /// Whether the softener's turn has come.
    pub regenerate: bool,
}

/// The machine at work.
pub struct Sim<'a> {
    pub m: &'a Machine,
    pub plant: Plant,
    pub day: Day,
    pub out: Out,
    pub frames: Vec<Frame>,
    pub rng: Rng,
    pub trouble: Option<Trouble>,
    pub wrong: Wrong,
    pub events: Vec<String>,
    pub dispensing: usize,
    pub venting: usize,
    pub door: Option<(usize, usize)>,
    pub cut: Option<usize>,
    pub restart: Option<usize>,
    /// Water left in the tub on purpose, in kg.
    pub left: f64,
    /// Seconds for which each load has been on.
    pub since: [f64; LOADS],
    /// How the arm that is fed now loads the pump, about 1.
    pub arm: f64,
    /// How much foam the detergent makes now, as a share of the pump's power.
    pub foam: f64,
    pub drift: f64,
    pub shake: f64,
    pub last_heat: f64,
}

impl<'a> Sim<'a> {
    /// A machine about to begin.
    pub fn new(m: &'a Machine, plant: Plant, day: Day, rng: Rng) -> Self {
        Sim {
            m,
            plant,
            day,
            out: Out { awake: true, ..Out::default() },
            frames: Vec::new(),
            rng,
            trouble: None,
            wrong: Wrong::default(),
            events: Vec::new(),
            dispensing: 0,
            venting: 0,
            door: None,
            cut: None,
            restart: None,
            left: 0.0,
            since: [0.0; LOADS],
            arm: 1.0,
            foam: 0.0,
            drift: 0.0,
            shake: 0.0,
            last_heat: 0.0,
        }
    }

    /// Whether this is the fault of the run.
    pub fn has(&self, fault: Fault) -> bool {
        self.trouble.is_some_and(|t| t.fault == fault)
    }

    /// Every load off, the control awake.
    pub fn off(&mut self) {
        self.out = Out { awake: true, ..Out::default() };
    }

    /// One tick with what is commanded now.
    pub fn tick(&mut self) -> Step {
        let now = self.frames.len();
        if self.cut.is_some_and(|at| now >= at) {
            self.wrong.shown = true;
            return Err(Stop::Cut);
        }
        if self.restart.is_some_and(|at| now >= at) {
            self.restart = None;
            self.wrong.shown = true;
            return Err(Stop::Restart);
        }
        if let Some((at, long)) = self.door
            && now >= at
        {
            self.door = None;
            self.events.push(format!("door open {} s", long / 10));
            for _ in 0..long {
                self.advance(Out { awake: true, open: true, ..Out::default() });
            }
        }
        self.advance(self.out);
        match self.wrong.gives_up.take() {
            Some(why) => Err(Stop::Error(why)),
            None => Ok(()),
        }
    }

    /// Run with what is commanded now for some seconds.
    pub fn run(&mut self, seconds: f64) -> Step {
        for _ in 0..ticks(seconds) {
            self.tick()?;
        }
        Ok(())
    }

    /// The control's usual small rest between two things.
    pub fn settle(&mut self) -> Step {
        self.off();
        let s = self.rng.range(0.3, 2.0 + 40.0 * self.m.control.sloppiness);
        self.run(s)
    }

    /// A time of the control with its irregularity.
    pub fn time(&mut self, seconds: f64) -> f64 {
        let s = self.m.control.sloppiness;
        self.rng.normal(seconds, seconds * s).max(0.2)
    }
}
