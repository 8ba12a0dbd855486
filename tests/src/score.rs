//! The score: how much of what the simulator did is found in the log, over machines, nights and faults drawn from seeds.

mod cycles;
mod loads;
mod stated;

use std::path::Path;
use std::time::Instant;

use tubtrace::analysis::Analysis;
use tubtrace::trace::{Step, Trace};
use tubtrace_simulator::Truth;
use tubtrace_simulator::scenario::Case;

pub use cycles::Cycles;
pub use loads::{LOADS, LoadScore};

use crate::coverage::Coverage;
use crate::rules::{Known, Rules};
use crate::{Worked, live_kept};

/// What was counted over some seeds. Sums of two scores are the score of both.
#[derive(Clone, Debug, Default)]
pub struct Score {
    /// Loads, with all channels.
    pub all: LoadScore,
    /// Loads, from the current alone.
    pub current: LoadScore,
    /// Cycles, faults and causes.
    pub cycles: Cycles,
    /// Stated uncertainties of the healthy nights, with all channels and from the current alone.
    pub stated: [Coverage; 2],
    /// What each pass over the loads changes, likewise.
    pub rules: [Rules; 2],
    /// Seconds of log that were worked, from the log to its findings.
    pub hours: f64,
    /// How long that took.
    pub seconds: f64,
    /// Cases that gave no chart.
    pub unlearned: u64,
}

/// An F1 below this is told of a case.
const WORTH_TELLING: f64 = 0.98;

impl Score {
    /// The score of one case, its nights kept in a folder if one is given; `tell` hears of each run that was judged wrongly.
    #[must_use]
    pub fn of(seed: u64, kept: Option<&Path>, mut tell: impl FnMut(String)) -> Self {
        let case = Case::draw(seed);
        let mut score = Self::default();
        let good = live_kept(&case.good, kept);
        let Ok(learned) = good.learned() else {
            score.unlearned += 1;
            return score;
        };
        let by_current = Analysis::of(&current_alone(&good.log.trace)).cycles;
        score.stated = [&good.cycles, &by_current].map(|cycles| stated::of(&case.good, &good, cycles));
        let draws = &learned.machine.draws;
        let night = live_kept(&case.night, kept).known(draws);
        let begin = Instant::now();
        // Worked once more than `live` did, for the clock to see all of it.
        let again = Analysis::of_known(&night.log.trace, draws);
        let judged = night.judge(&learned.machine);
        score.seconds = begin.elapsed().as_secs_f64();
        score.hours = night.log.trace.duration().0 / 3_600.0;
        assert_eq!(again.cycles.len(), night.cycles.len(), "the same log gives the same cycles");
        let alone = current_alone(&night.log.trace);
        let known = known(&night.recording.truth);
        score.rules = [&night.log.trace, &alone].map(|trace| Rules::of(trace, draws, &known));
        score.all = LoadScore::of(&night.recording.truth, &again.loads.spans);
        score.current = LoadScore::of(&night.recording.truth, &Analysis::of_known(&alone, draws).loads.spans);
        for (what, loads) in [("all channels", &score.all), ("current alone", &score.current)] {
            for (load, f1) in loads.f1().into_iter().filter(|(_, f1)| f1.is_some_and(|f| f < WORTH_TELLING)) {
                tell(format!("seed {seed}: {what}, {load} {:.3}", f1.unwrap_or(0.0)));
            }
        }
        score.cycles = Cycles::of(&night, &judged, |what| tell(format!("seed {seed}: {what}")));
        score.cycles.left_out = learned.left_out.len() as u64;
        score
    }

    /// Adds another score to this.
    pub fn add(&mut self, other: Self) {
        self.all.add(other.all);
        self.current.add(other.current);
        self.cycles.add(&other.cycles);
        self.rules.iter_mut().zip(&other.rules).for_each(|(own, other)| own.add(other));
        self.stated.iter_mut().zip(&other.stated).for_each(|(own, other)| own.add(other));
        self.hours += other.hours;
        self.seconds += other.seconds;
        self.unlearned += other.unlearned;
    }
}

/// Each second of the runs of a night in which the logger itself did not fail.
fn known(truth: &Truth) -> Vec<Known> {
    let fair = truth.cycles.iter().filter(|c| c.trouble.is_none_or(|t| !t.fault.is_loggers()));
    let seconds = |from: f64, to: f64| (from as u64..to as u64).map(|second| second as f64 + 0.5);
    let of = |at: f64| {
        let interval = truth.intervals.get(truth.intervals.partition_point(|i| i.end.0 <= at))?;
        Some(Known { at, loads: interval.loads })
    };
    fair.flat_map(|c| seconds(c.start.0, c.end.0)).filter_map(of).collect()
}

/// The trace as a meter without pickups and clips would give it.
#[must_use]
pub fn current_alone(trace: &Trace) -> Trace {
    let mut trace = trace.clone();
    trace.steps = trace.steps.iter().map(|step| Step { detail: None, ..step }).collect();
    trace.temperatures.clear();
    trace.fills.clear();
    trace
}

/// Runs of a night with what was judged of each, paired by time: a run whose cycle was not found has none.
fn paired<'a, T>(
    night: &'a Worked,
    judged: &'a [T],
) -> Vec<(&'a tubtrace_simulator::TruthCycle, Vec<&'a T>)> {
    let overlaps = |t: &tubtrace_simulator::TruthCycle, c: &tubtrace::intervals::Cycle| {
        c.start() < t.end && c.end() > t.start
    };
    night
        .recording
        .truth
        .cycles
        .iter()
        .map(|truth| {
            let own = night.cycles.iter().zip(judged).filter(|(c, _)| overlaps(truth, c));
            (truth, own.map(|(_, j)| j).collect())
        })
        .collect()
}
