//! Helpers of the tests that cross crates.

pub mod bench;
mod causes;
pub mod command;
pub mod coverage;
pub mod csv;
pub mod emulator;
pub mod long_run;
pub mod paper;
pub mod program;
pub mod real;
pub mod reliability;
pub mod rules;
pub mod score;
pub mod second_world;
pub mod served;
pub mod splits;
pub mod stand_in;
pub mod whole;

pub use causes::{cannot_be_told, causes_named, causes_of, departure_of, is_heard_or_felt, suspect_of};

use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::Path;

use tubtrace::alignment::Step;
use tubtrace::analysis::Analysis;
use tubtrace::chart::Machine;
use tubtrace::findings::{Judged, Surroundings, judge};
use tubtrace::intervals::{Cycle, Interval, Kind, Measured, Seen};
use tubtrace::learn::{LearnError, Learned, Nights};
use tubtrace::loads::{Draws, Posterior};
use tubtrace::log::{Assumptions, Log, parse};
use tubtrace_simulator::board::{Recording, record};
use tubtrace_simulator::scenario::Night;
use tubtrace_units::{Loads, Seconds};

/// A recording worked as far as its cycles. Only the log goes in; the truth stays with the recording.
pub struct Worked {
    /// What the board wrote, and what really happened.
    pub recording: Recording,
    /// The log as read.
    pub log: Log,
    /// The cycles that were found in it.
    pub cycles: Vec<Cycle>,
}

/// An interval in which the machine surely does this, and nothing else is known of it.
#[must_use]
pub fn interval(kind: Kind, start: Seconds, end: Seconds, water: u32) -> Interval {
    let (measured, states) = (Measured::default(), Posterior::default());
    Interval { kind, loads: Loads::NONE, start, end, certainty: 1.0, states, water, measured }
}

/// A whole cycle of these intervals, as a logger's windows of a tenth of a second would show it.
#[must_use]
pub fn whole_cycle(intervals: Vec<Interval>) -> Cycle {
    Cycle {
        intervals,
        cut_at_start: false,
        cut_at_end: false,
        seen: Seen::Current,
        idle_supply_noise: None,
        resolution: Seconds(0.1),
        record: Default::default(),
    }
}

/// Lives through a night and works its log. With a folder, the recording is kept there and taken from there the next time:
/// whoever changes the simulator or the board's code empties it.
///
/// # Panics
/// As [`live`], and when the folder cannot be written.
#[must_use]
pub fn live_kept(night: &Night, kept: Option<&Path>) -> Worked {
    let Some(kept) = kept else { return live(night) };
    // A night is all that a recording depends on, beside the code.
    let mut hasher = DefaultHasher::new();
    format!("{night:?}").hash(&mut hasher);
    let path = kept.join(format!("{:016x}", hasher.finish()));
    let recording = std::fs::read(&path).ok().and_then(|bytes| postcard::from_bytes(&bytes).ok());
    let recording = recording.unwrap_or_else(|| {
        let recording = recorded(night);
        let bytes = postcard::to_stdvec(&recording).expect("plain data");
        std::fs::write(&path, bytes).expect("the folder of kept nights can be written");
        recording
    });
    work(recording, night)
}

/// Lives through a night and works its log.
///
/// # Panics
/// When the board could not record or the log could not be read: then there is nothing to test.
#[must_use]
pub fn live(night: &Night) -> Worked {
    work(recorded(night), night)
}

fn recorded(night: &Night) -> Recording {
    record(night, 1_800_000_000_000, |_| {}).expect("the flash holds a night")
}

/// The nominal volts are given, as a technician reads them from the nameplate.
fn work(recording: Recording, night: &Night) -> Worked {
    let log =
        parse(&recording.log, Assumptions { volts: Some(night.appliance.volts) }).expect("an undamaged log");
    let cycles = Analysis::of(&log.trace).cycles;
    Worked { recording, log, cycles }
}

impl Worked {
    /// The same log worked as that of a machine of which it is known what its loads draw.
    #[must_use]
    pub fn known(mut self, draws: &Draws) -> Self {
        self.cycles = Analysis::of_known(&self.log.trace, draws).cycles;
        self
    }

    /// What is learned of the machine of this log, as the command learns it.
    ///
    /// # Errors
    /// When there is no cycle to learn from.
    pub fn learned(&self) -> Result<Learned, LearnError> {
        Nights::read(&[&self.log.trace], &Draws::default()).learn("learned")
    }

    /// Every cycle against a chart.
    #[must_use]
    pub fn judge(&self, machine: &Machine) -> Vec<Judged> {
        let surroundings = Surroundings::of(&self.log.trace, &self.cycles);
        self.cycles.iter().map(|c| judge(machine, c, surroundings)).collect()
    }
}

/// An explanation in words, for messages of tests.
#[must_use]
pub fn explain(judged: &Judged, machine: &Machine) -> String {
    // Of readings that are too coarse the programme is another one, without names.
    let own = machine.programmes.iter().find(|c| c.name == judged.programme);
    let name = |p: &tubtrace::alignment::Place| {
        let interval = own.and_then(|c| c.parts.get(p.part)?.intervals.get(p.interval));
        interval.map_or_else(|| format!("interval {}", p.interval + 1), |i| i.name.clone())
    };
    let phases = &judged.explanation.phases;
    let seen = |r: &std::ops::Range<usize>| {
        phases[r.clone()]
            .iter()
            .map(|a| format!("{} {:.0}", a.kind, a.duration()))
            .collect::<Vec<_>>()
            .join(", ")
    };
    let steps = judged.explanation.steps.iter().map(|step| match step {
        Step::Matched { place, phases } => format!("  {} = {}", name(place), seen(phases)),
        Step::Unheated { place, count, phases } => {
            format!("  {} and {} more, unheated = {}", name(place), count - 1, seen(phases))
        }
        Step::Missing { place, .. } => format!("  {} is missing", name(place)),
        Step::Extra { phase } => format!("  extra {}", seen(&(*phase..phase + 1))),
    });
    let findings = judged.findings.iter().map(|f| {
        format!(
            "  * {} {} measured {} U {} p {:.2}: {}",
            f.departure, f.interval, f.measured, f.uncertainty, f.certainty, f.advice.suspects[0].word
        )
    });
    steps.chain(findings).collect::<Vec<_>>().join("\n")
}
