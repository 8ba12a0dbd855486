//! A slice of the second world: machines whose levels have to be learned, as our own simulator has none. What a constant of the loads does to them is seen only
//! there.

use std::fmt;

use rayon::prelude::*;
use strangers::kinds::named;
use strangers::meter::Meter;
use tubtrace::intervals;
use tubtrace::loads::{Inferred, ScaledTrace, infer};
use tubtrace::log::Log;
use tubtrace_tests::coverage::MAIN;
use tubtrace_tests::rules::Known;
use tubtrace_tests::second_world::{self, Guest, truth};
use tubtrace_units::Loads;

/// A machine of these kinds each; of the last, with a refrigerator on the same meter.
const KINDS: [&str; 14] = [
    "speeds",
    "ramp",
    "near-drain",
    "strong-drain",
    "heat-pump",
    "vented",
    "fan-hours",
    "sorption",
    "pulse-fill",
    "turns",
    "one-motor",
    "purges",
    "plain-120",
    "plain-230",
];

/// Seeds that may be looked at: each machine has one of them.
const SEEDS: [u64; 3] = [1, 2, 3];

/// Nothing is surer than this: a log loss has no bound.
const SUREST: f64 = 0.999;

/// A healthy day of a machine.
struct Day {
    log: Log,
    known: Vec<Known>,
    cycles: usize,
}

/// The days.
pub struct Strange(Vec<Day>);

/// What is right of them.
#[derive(Clone, Copy, Debug, Default)]
pub struct Right {
    /// Seconds of true cycles.
    seconds: f64,
    /// Those whose main loads are right.
    right: f64,
    /// Sum of the log loss of what is stated of each.
    loss: f64,
    /// Days with as many cycles as there were.
    pub days: i64,
}

impl Right {
    /// Part of the time in which the main loads are right.
    pub fn time(&self) -> f64 {
        self.right / self.seconds.max(1.0)
    }

    /// Log loss per second, nats.
    pub fn loss(&self) -> f64 {
        self.loss / self.seconds.max(1.0)
    }

    fn and(self, other: Self) -> Self {
        Self {
            seconds: self.seconds + other.seconds,
            right: self.right + other.right,
            loss: self.loss + other.loss,
            days: self.days + other.days,
        }
    }
}

impl fmt::Display for Right {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (time, loss) = (100.0 * self.time(), self.loss());
        write!(
            f,
            "second world {time:.2} % of the time right, log loss {loss:.4}, {} days with the right number of cycles",
            self.days
        )
    }
}

impl Strange {
    /// Writes and reads the days.
    ///
    /// # Errors
    /// A sentence with the file that cannot be written or read.
    pub fn new() -> Result<Self, String> {
        let days: Result<Vec<Day>, String> = (0..KINDS.len()).into_par_iter().map(day).collect();
        days.map(Self)
    }

    /// How many days there are.
    pub fn days(&self) -> usize {
        self.0.len()
    }

    /// What is right of them as the constants are.
    pub fn work(&self) -> Right {
        self.0.par_iter().map(Day::work).reduce(Right::default, Right::and)
    }
}

fn day(n: usize) -> Result<Day, String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let kind = named(KINDS[n]).ok_or_else(|| format!("there is no kind {}", KINDS[n]))?;
    let house: &[Guest] = if n + 1 == KINDS.len() { &[Guest::Fridge] } else { &[] };
    let seed = SEEDS[n % SEEDS.len()];
    let days = second_world::days(kind, seed, Meter::OneWatt, house, folder.path(), (1, 0));
    let days = days.map_err(|e| e.to_string())?;
    let (log, known) = second_world::known(&days[0])?;
    Ok(Day { log, known, cycles: truth::read(&days[0])?.cycles.len() })
}

impl Day {
    fn work(&self) -> Right {
        let scaled = ScaledTrace::of(&self.log.trace);
        let inferred = infer(&scaled);
        let cycles = intervals::cycles(&scaled, &inferred).len();
        let seconds = self.known.iter().map(|second| of_second(&inferred, second));
        seconds.fold(Right { days: i64::from(cycles == self.cycles), ..Right::default() }, Right::and)
    }
}

fn of_second(inferred: &Inferred, second: &Known) -> Right {
    let at = inferred.spans.partition_point(|s| s.end.0 <= second.at);
    let span = inferred.spans.get(at).filter(|s| s.start.0 <= second.at);
    let main = |loads: Loads| MAIN.map(|load| loads.has(load));
    let right = span.is_some_and(|s| main(s.loads()) == main(second.loads));
    let stated = span.map_or(0.0, |s| s.certainty()).clamp(1.0 - SUREST, SUREST);
    let loss = -(if right { stated } else { 1.0 - stated }).ln();
    Right { seconds: 1.0, right: f64::from(u8::from(right)), loss, days: 0 }
}
