//! What a move is measured on: a slice of the score's nights and the real days, in memory, worked anew from the stage of a constant on.

use std::borrow::Cow;
use std::fmt;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use rayon::prelude::*;
use tubtrace::chart::Machine;
use tubtrace::findings::{Judged, Surroundings, judge};
use tubtrace::intervals::{self, Cycle};
use tubtrace::learn::learn;
use tubtrace::loads::{Inferred, ScaledTrace, infer};
use tubtrace::log::{Assumptions, Log, parse};
use tubtrace_simulator::scenario::Case;
use tubtrace_tests::real::{days, worked};
use tubtrace_tests::score::{Cycles, LoadScore, current_alone};
use tubtrace_tests::splits::every_second;
use tubtrace_tests::{Worked, live_kept};
use tubtrace_units::Seconds;

use super::strange::{Right, Strange};

/// The nights of one seed, with the loads that were found in them with every constant as it is, and their score with all channels and from
/// the current alone.
struct Nights {
    good: (Worked, Inferred),
    night: (Worked, Inferred),
    loads: [LoadScore; 2],
}

/// A real day, likewise.
struct Day {
    path: PathBuf,
    log: Log,
    inferred: Inferred,
}

/// The nights of some seeds, and the days of each real machine.
pub struct Slice {
    nights: Vec<Mutex<Nights>>,
    machines: Vec<Vec<Day>>,
    /// Days of the second world, which only its loads say anything of.
    strange: Option<Strange>,
    unmoved: Right,
}

/// What comes of a slice.
#[derive(Default)]
pub struct Outcome {
    /// F1, the mean over the loads, with all channels.
    pub f1: f64,
    /// The same from the current alone.
    pub f1_alone: f64,
    /// Healthy cycles that depart.
    pub healthy: u64,
    /// Faulty runs that depart.
    pub found: u64,
    /// Faulty runs whose cause is named first.
    pub first: u64,
    /// Cycles of real days that depart, learned from every second day and checked on the others, either way.
    pub real: u64,
    /// What is right of the second world.
    pub strange: Right,
    /// Of each seed and each machine: what is told of each cycle.
    pub told: Vec<Vec<String>>,
    healthy_runs: u64,
    faulty_runs: u64,
    real_runs: u64,
}

impl fmt::Display for Outcome {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "load F1 {:.4}, current alone {:.4}, {} of {} healthy cycles depart, {} of {} faults found, {} causes first, {} of {} real cycles depart",
            self.f1,
            self.f1_alone,
            self.healthy,
            self.healthy_runs,
            self.found,
            self.faulty_runs,
            self.first,
            self.real,
            self.real_runs
        )?;
        write!(f, "; {}", self.strange)
    }
}

impl Slice {
    /// Simulates the nights of these seeds, or takes them from the folder, and reads the real days, if there are any.
    pub fn of(seeds: Range<u64>, kept: Option<&Path>, strange: Option<Strange>) -> Self {
        let seeds: Vec<u64> = seeds.collect();
        let nights = in_parallel(seeds.len(), |i| {
            let case = Case::draw(seeds[i]);
            let [good, night] = [&case.good, &case.night].map(|night| {
                let worked = live_kept(night, kept);
                let inferred = infer(&ScaledTrace::of(&worked.log.trace));
                (worked, inferred)
            });
            let loads = scores(&night.0, &night.1);
            Mutex::new(Nights { good, night, loads })
        });
        let machines = ["machine-a", "machine-b", "machine-c"].map(|machine| {
            let paths = days(machine);
            in_parallel(paths.len(), |i| {
                let (log, _) = worked(&paths[i]);
                let inferred = infer(&ScaledTrace::of(&log.trace));
                Day { path: paths[i].clone(), log, inferred }
            })
        });
        let unmoved = strange.as_ref().map(Strange::work).unwrap_or_default();
        Self { nights, machines: machines.into(), strange, unmoved }
    }

    /// How many real days there are.
    pub fn real_days(&self) -> usize {
        self.machines.iter().map(Vec::len).sum()
    }

    /// How many days of the second world there are.
    pub fn strange_days(&self) -> usize {
        self.strange.as_ref().map_or(0, Strange::days)
    }

    /// Works the slice; where a constant is moved, from the stage of that constant on.
    pub fn work(&self, constant: Option<&str>) -> Outcome {
        let from = Stage::of(constant);
        let nights = || {
            in_parallel(self.nights.len(), |i| {
                let mut nights = self.nights[i].lock().unwrap_or_else(std::sync::PoisonError::into_inner);
                nights.work(from)
            })
        };
        let machines = || in_parallel(self.machines.len(), |i| real(&self.machines[i], from));
        let (of_nights, of_machines) = rayon::join(nights, machines);
        let mut outcome = Outcome { strange: self.unmoved, ..Outcome::default() };
        if let Some(strange) = self.strange.as_ref().filter(|_| from == Stage::Loads) {
            outcome.strange = strange.work();
        }
        let (mut loads, mut cycles) = (<[LoadScore; 2]>::default(), Cycles::default());
        for (of_loads, of_cycles, told) in of_nights {
            loads.iter_mut().zip(of_loads).for_each(|(sum, own)| sum.add(own));
            cycles.add(&of_cycles);
            outcome.told.push(told);
        }
        [outcome.f1, outcome.f1_alone] = loads.map(|loads| {
            let f1: Vec<f64> = loads.f1().into_iter().filter_map(|(_, f1)| f1).collect();
            f1.iter().sum::<f64>() / f1.len().max(1) as f64
        });
        (outcome.healthy_runs, outcome.healthy) = cycles.healthy;
        (outcome.faulty_runs, outcome.found, outcome.first, _) = cycles.all();
        for (departing, told) in of_machines {
            outcome.real += departing;
            outcome.real_runs += told.len() as u64;
            outcome.told.push(told);
        }
        outcome
    }
}

/// From where on a log is worked anew: what comes before the stage of the constant that is moved is as it was.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd)]
enum Stage {
    /// From its bytes on.
    Log,
    /// From its readings on.
    Loads,
    /// From its loads on: cycles always are made anew, for what checks measured of them before is to be forgotten.
    Cycles,
}

impl Stage {
    fn of(constant: Option<&str>) -> Self {
        match constant.and_then(|name| name.split('.').next()) {
            Some("log") => Self::Log,
            Some("loads") => Self::Loads,
            _ => Self::Cycles,
        }
    }
}

impl Nights {
    /// The score of the night against a chart of the good one, and what is told of its cycles.
    fn work(&mut self, from: Stage) -> ([LoadScore; 2], Cycles, Vec<String>) {
        let Self { good: (good, in_good), night: (night, in_night), loads } = self;
        let mut scored = loads.clone();
        let good_resolution = with_cycles(good, in_good, from, |good, _| good.log.trace.resolution);
        let examples: Vec<&Cycle> = good.cycles.iter().collect();
        let learned = learn(&examples, "learned", good_resolution);
        with_cycles(night, in_night, from, |night, inferred| {
            if from <= Stage::Loads {
                scored = scores(night, inferred);
            }
            let Ok(learned) = &learned else { return (scored, Cycles::default(), Vec::new()) };
            let judged = night.judge(&learned.machine);
            (scored, Cycles::of(night, &judged, |_| ()), judged.iter().map(told).collect())
        })
    }
}

/// Works a simulated log anew from a stage on, and gives it to `then`; afterwards its readings are as they were.
fn with_cycles<T>(
    worked: &mut Worked,
    inferred: &Inferred,
    from: Stage,
    then: impl FnOnce(&Worked, &Inferred) -> T,
) -> T {
    let before = (from == Stage::Log).then(|| {
        let assumptions = Assumptions { volts: Some(worked.log.trace.nominal.volts) };
        let anew = parse(&worked.recording.log, assumptions).expect("an undamaged log");
        std::mem::replace(&mut worked.log, anew)
    });
    let (inferred, cycles) = cycles_anew(&worked.log, inferred, from);
    worked.cycles = cycles;
    let outcome = then(worked, &inferred);
    if let Some(before) = before {
        worked.log = before;
    }
    outcome
}

/// The score of a night's loads with all channels, and from the current alone.
fn scores(night: &Worked, inferred: &Inferred) -> [LoadScore; 2] {
    let alone = current_alone(&night.log.trace);
    let alone = infer(&ScaledTrace::of(&alone));
    [&inferred.spans, &alone.spans].map(|spans| LoadScore::of(&night.recording.truth, spans))
}

/// The loads of a log, inferred anew if a constant of theirs or of what comes before them is moved, and its cycles.
fn cycles_anew<'a>(log: &Log, inferred: &'a Inferred, from: Stage) -> (Cow<'a, Inferred>, Vec<Cycle>) {
    let scaled = ScaledTrace::of(&log.trace);
    let inferred = if from <= Stage::Loads { Cow::Owned(infer(&scaled)) } else { Cow::Borrowed(inferred) };
    let cycles = intervals::cycles(&scaled, &inferred);
    (inferred, cycles)
}

/// Of a machine's days, each second learned from as it is and the others checked, either way: how many cycles depart, and what is told of each.
fn real(days: &[Day], from: Stage) -> (u64, Vec<String>) {
    let seen: Vec<(Vec<Cycle>, Surroundings)> = in_parallel(days.len(), |i| {
        let day = &days[i];
        let anew = (from == Stage::Log).then(|| worked(&day.path).0);
        let log = anew.as_ref().unwrap_or(&day.log);
        let (_, cycles) = cycles_anew(log, &day.inferred, from);
        let surroundings = Surroundings::of(&log.trace, &cycles);
        (cycles, surroundings)
    });
    let resolution = seen.iter().map(|(_, of)| of.resolution).fold(Seconds(0.0), Seconds::max);
    let ways = every_second(days.len());
    let judged: Vec<Judged> = ways
        .par_iter()
        .flat_map_iter(|way| &way.rounds)
        .flat_map_iter(|(learns, checks)| {
            let good: Vec<&Cycle> = learns.iter().flat_map(|&d| &seen[d].0).collect();
            // Of a machine that cannot be learned nothing is told.
            let learned = learn(&good, "learned", resolution).ok();
            let checked = checks.iter().flat_map(|&d| seen[d].0.iter().map(move |c| (c, d)));
            let held =
                |machine: &Machine| checked.map(|(c, d)| judge(machine, c, seen[d].1)).collect::<Vec<_>>();
            learned.map_or_else(Vec::new, |learned| held(&learned.machine))
        })
        .collect();
    let departing = judged.iter().filter(|j| j.departs()).count() as u64;
    (departing, judged.iter().map(told).collect())
}

/// What is told of a cycle, but for its numbers.
fn told(judged: &Judged) -> String {
    let findings = judged.findings.iter().map(|f| {
        let first = f.advice.suspects.first().map_or("", |s| s.word.as_str());
        format!("{} {} {first}; ", f.departure, f.interval)
    });
    let undecided = judged.undecided.iter().map(|f| format!("perhaps {} {}; ", f.departure, f.interval));
    findings.chain(undecided).collect()
}

/// The results of `work` for 0 to `count`, in order, on all cores.
fn in_parallel<T: Send>(count: usize, work: impl Fn(usize) -> T + Sync) -> Vec<T> {
    (0..count).into_par_iter().map(&work).collect()
}
