//! Reading the logs that a command was given, and finding the cycles in them.

use std::path::Path;

use clap::Args;
use jiff::tz::TimeZone;
use tubtrace_units::{Amps, Volts};

use super::meter::OfMeter;
use super::outcome::Failure;
use super::shown::Shown;
use super::streams::say;
use crate::analysis::Analysis;
use crate::findings::Surroundings;
use crate::intervals::{Cycle, too_much_lost};
use crate::job::Job;
use crate::loads::house;
use crate::log::{Assumptions, Log, read_as};
use crate::parallel;
use crate::report::Subject;
use crate::trace::Trace;

/// What can be said about a log that it does not say itself.
#[derive(Args)]
pub(super) struct About {
    /// Nominal volts of the supply; by default 120 where the mains is 60 Hz and 230 elsewhere.
    #[arg(long, value_name = "VOLTS", value_parser = volts)]
    pub(super) volts: Option<f64>,
    #[command(flatten)]
    pub(super) meter: OfMeter,
}

/// What the plate on the machine says.
#[derive(Args)]
pub(super) struct OnPlate {
    /// Watts on the machine's plate, to hold against what is drawn while it heats, where no programme is known.
    #[arg(long, value_name = "WATTS", value_parser = watts)]
    pub(super) rated_watts: Option<f64>,
    /// The same in amperes.
    #[arg(long, value_name = "AMPERES", value_parser = amperes, conflicts_with = "rated_watts")]
    pub(super) rated_amps: Option<f64>,
}

impl OnPlate {
    /// The current on the machine's plate, if it was given; watts are divided by the log's nominal volts.
    fn current(&self, log: &Log) -> Option<Amps> {
        let of_watts = self.rated_watts.map(|watts| Amps(watts / log.trace.nominal.volts.0));
        self.rated_amps.map(Amps).or(of_watts)
    }
}

fn watts(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|w| (100.0..=20_000.0).contains(w))
        .ok_or_else(|| "from 100 to 20000 watts".to_owned())
}

fn amperes(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|a| (0.5..=100.0).contains(a))
        .ok_or_else(|| "from 0.5 to 100 amperes".to_owned())
}

fn volts(text: &str) -> Result<f64, String> {
    text.parse().ok().filter(|v| (80.0..=500.0).contains(v)).ok_or_else(|| "from 80 to 500 volts".to_owned())
}

impl About {
    pub(super) fn assumptions(&self) -> Assumptions {
        Assumptions { volts: self.volts.map(Volts) }
    }
}

/// A log, the cycles that were found in it, and what is known of its job.
pub(super) struct Worked {
    pub(super) log: Log,
    pub(super) cycles: Vec<Cycle>,
    pub(super) job: Job,
    /// The current on the machine's plate, if it was given.
    plate: Option<Amps>,
}

impl Worked {
    pub(super) const fn new(log: Log, cycles: Vec<Cycle>, job: Job) -> Self {
        Self { log, cycles, job, plate: None }
    }

    /// Of a machine and a job of which nothing is known.
    pub(super) fn of(log: Log) -> Self {
        let cycles = cycles_of(&log.trace);
        Self::new(log, cycles, Job::default())
    }

    /// The same, with what the plate on its machine says.
    pub(super) fn rated(self, on: &OnPlate) -> Self {
        Self { plate: on.current(&self.log), ..self }
    }

    /// What is known of the log beside its cycles.
    pub(super) fn surroundings(&self) -> Surroundings {
        Surroundings::of(&self.log.trace, &self.cycles).rated(self.plate, &self.log.trace)
    }

    /// Fails where too much of a run was lost to judge it.
    pub(super) fn judgeable(&self, path: &Path) -> Result<(), Failure> {
        judgeable(path, &self.log.trace, &self.cycles)
    }

    pub(super) fn subject(&self, shown: Shown) -> Subject<'_> {
        let (units, width) = (shown.units(), shown.width());
        Subject { job: &self.job, units, width, ..Subject::of(&self.log, &self.cycles) }
    }
}

/// Fails where too much of a run was lost to judge it.
pub(super) fn judgeable(path: &Path, trace: &Trace, cycles: &[Cycle]) -> Result<(), Failure> {
    match too_much_lost(trace, cycles) {
        Some(why) => Err(Failure::Other(format!("{}: {why}", path.display()))),
        None => Ok(()),
    }
}

/// Reads several logs, on all cores. What was wrong with them is said in the order in which they were given.
pub(super) fn read_logs(paths: &[&Path], about: &About) -> Result<Vec<Log>, Failure> {
    let (assumptions, layout) = (about.assumptions(), about.meter.layout(false)?);
    let all = parallel::map(paths, |path| read_as(path, assumptions, &layout).map(here));
    let told = |(path, log): (&&Path, Result<Log, _>)| {
        let log = log?;
        say_notes(path, &log);
        Ok(log)
    };
    paths.iter().zip(all).map(told).collect()
}

/// Reads a log and says on the error stream what was wrong with it, and what else was on its meter.
pub(super) fn read_log(path: &Path, about: &About) -> Result<Log, Failure> {
    let log = here(read_as(path, about.assumptions(), &about.meter.layout(false)?)?);
    say_notes(path, &log);
    Ok(log)
}

fn say_notes(path: &Path, log: &Log) {
    for note in log.notes.all() {
        say(&format!("{}: {}", path.display(), note.told(log.trace.clock.as_ref())));
    }
    for house in house(&log.trace) {
        say(&format!("{}: {house}", path.display()));
    }
}

/// The cycles in a trace.
pub(super) fn cycles_of(trace: &Trace) -> Vec<Cycle> {
    Analysis::of(trace).cycles
}

/// Times that a log has in UTC are shown in the zone of this computer.
pub(super) fn here(mut log: Log) -> Log {
    if let Some(clock) = &mut log.trace.clock {
        clock.show_in(&TimeZone::system());
    }
    log
}
