//! The command line: flags are parsed here, turned once into the types that the stages think in, and what comes back
//! is printed. Exit code 0: all within, or done; 1: departures found; 2: could not do it; 3: nothing departs, but a cycle
//! is of no programme that is known.

mod arm;
mod asked;
mod check;
mod demo;
mod export;
mod import;
mod learn;
mod logger;
mod pages;
mod progress;
mod pull;
mod report;
mod seen;
mod shown;
mod timeline;
mod watch;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand};
use jiff::tz::TimeZone;
use tubtrace_units::Volts;

use crate::analysis::Analysis;
use crate::intervals::{Cycle, too_much_lost};
use crate::log::{Assumptions, Log, LogError, read};
use crate::output::{OutputError, Place, Rules};
use crate::report::{Subject, Units};
use crate::text::{plain, styled};
use crate::trace::Trace;

const CAUTIONS: &str = "\
Cautions:
  Mains, hot water and flooding can hurt people. Clamp on insulated conductors only,
  open nothing to attach a clip, unplug or lock out before a panel comes off, panels
  back on before power. Local codes and licensed practice come first.

Exit codes: 0 all within, or done; 1 departures found; 2 could not do it; 3 nothing departs, but a
  cycle is of no programme that is known, or there is nothing to compare it with.";

/// Turns a clip-on logger's record of a dishwasher into timed intervals, and says what departs from its cycle chart.
#[derive(Parser)]
#[command(name = "tubtrace", version, after_help = CAUTIONS, max_term_width = 100)]
struct Tubtrace {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    Demo(demo::Demo),
    Arm(arm::Arm),
    Pull(pull::Pull),
    Watch(watch::Watch),
    Import(import::Import),
    Timeline(timeline::Timeline),
    Learn(learn::Learn),
    Check(check::Check),
    Report(report::Report),
    Export(export::Export),
    Completions(pages::Completions),
    Man(pages::Man),
}

/// How a command ended, if it could do what it was asked.
enum Done {
    /// All is well.
    Well,
    /// Departures were found.
    Departs,
    /// Nothing departs, but there is a cycle whose programme is not known.
    Unknown,
}

/// Why a command could not do what it was asked: one sentence that names file, place and remedy.
#[derive(Debug, thiserror::Error)]
enum Failure {
    #[error(transparent)]
    Log(#[from] LogError),
    #[error(transparent)]
    Chart(#[from] crate::chart::ChartError),
    #[error(transparent)]
    Learn(#[from] crate::learn::LearnError),
    #[error(transparent)]
    Port(#[from] crate::link::PortError),
    #[error(transparent)]
    Link(#[from] crate::link::LinkError),
    #[error(transparent)]
    Terminal(#[from] crate::live::TerminalError),
    #[error(transparent)]
    Pull(#[from] crate::link::PullError),
    #[error(transparent)]
    Output(#[from] OutputError),
    #[error("{0}")]
    Other(String),
}

/// Runs the command that the process was called with.
#[must_use]
pub fn run() -> ExitCode {
    let arguments = match Tubtrace::try_parse() {
        Ok(arguments) => arguments,
        Err(told) => return usage(&told),
    };
    let done = match arguments.command {
        Command::Demo(demo) => demo.run(),
        Command::Arm(arm) => arm.run(),
        Command::Pull(pull) => pull.run(),
        Command::Watch(watch) => watch.run(),
        Command::Import(import) => import.run(),
        Command::Timeline(timeline) => timeline.run(),
        Command::Learn(learn) => learn.run(),
        Command::Check(check) => check.run(),
        Command::Report(report) => report.run(),
        Command::Export(export) => export.run(),
        Command::Completions(completions) => completions.run(),
        Command::Man(man) => man.run(),
    };
    match done {
        Ok(Done::Well) => ExitCode::SUCCESS,
        Ok(Done::Departs) => ExitCode::from(1),
        Ok(Done::Unknown) => ExitCode::from(3),
        // Whoever read our output has seen enough.
        Err(Failure::Output(OutputError::Write { error, .. }))
            if error.kind() == std::io::ErrorKind::BrokenPipe =>
        {
            ExitCode::SUCCESS
        }
        Err(failure) => {
            say(&format!("tubtrace: {failure}"));
            ExitCode::from(2)
        }
    }
}

/// Help that was asked for; or what is wrong with the arguments, without styles, for whatever came as an argument is in it.
fn usage(told: &clap::Error) -> ExitCode {
    if told.use_stderr() {
        say(told.render().to_string().trim_end());
        return ExitCode::from(2);
    }
    match print(&told.render().ansi().to_string()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(_) => ExitCode::from(2),
    }
}

/// What can be said about a log that it does not say itself.
#[derive(Args)]
struct About {
    /// Nominal volts of the supply; by default 120 where the mains is 60 Hz and 230 elsewhere.
    #[arg(long, value_name = "VOLTS", value_parser = volts)]
    volts: Option<f64>,
}

fn volts(text: &str) -> Result<f64, String> {
    text.parse().ok().filter(|v| (80.0..=500.0).contains(v)).ok_or_else(|| "from 80 to 500 volts".to_owned())
}

impl About {
    fn assumptions(&self) -> Assumptions {
        Assumptions { volts: self.volts.map(Volts) }
    }
}

/// What may be written over.
#[derive(Args)]
struct Writing {
    /// Write over a file that is there already; never over one that is read.
    #[arg(long)]
    force: bool,
}

impl Writing {
    /// The place of an output of a command that reads `inputs`, asked before its work.
    fn place(&self, output: &Path, inputs: &[&Path]) -> Result<Place, OutputError> {
        Rules::new(inputs, self.force)?.place(output)
    }

    /// Likewise of one in a folder, which is made where it is not there.
    fn place_below(&self, output: &Path, inputs: &[&Path]) -> Result<Place, OutputError> {
        Rules::new(inputs, self.force)?.place_below(output)
    }
}

/// A log worked as far as its cycles.
struct Worked {
    log: Log,
    cycles: Vec<Cycle>,
}

impl Worked {
    fn of(log: Log) -> Self {
        let cycles = cycles_of(&log.trace);
        Self { log, cycles }
    }

    /// Reads a log and says on the error stream what was wrong with it.
    fn read(path: &Path, about: &About) -> Result<Self, Failure> {
        Ok(Self::of(read_log(path, about)?))
    }

    /// Reads logs, on all cores; what was wrong with them is said in their order.
    fn read_all(paths: &[PathBuf], about: &About) -> Result<Vec<Self>, Failure> {
        let assumptions = about.assumptions();
        let work = |path: &PathBuf| read(path, assumptions).map(here).map(Self::of);
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let mut all = Vec::with_capacity(paths.len());
        for some in paths.chunks(cores) {
            let done: Vec<_> = std::thread::scope(|scope| {
                let threads: Vec<_> = some.iter().map(|path| scope.spawn(move || work(path))).collect();
                // What panicked there must panic here.
                let join = |t: std::thread::ScopedJoinHandle<'_, _>| {
                    t.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
                };
                threads.into_iter().map(join).collect()
            });
            for (path, worked) in some.iter().zip(done) {
                let worked = worked?;
                say_notes(path, &worked.log);
                all.push(worked);
            }
        }
        Ok(all)
    }

    /// Refuses a verdict on runs of which too much was lost.
    fn judgeable(&self, path: &Path) -> Result<(), Failure> {
        match too_much_lost(&self.log.trace, &self.cycles) {
            Some(why) => Err(Failure::Other(format!("{}: {why}", path.display()))),
            None => Ok(()),
        }
    }

    fn subject(&self, units: Units) -> Subject<'_> {
        Subject { log: &self.log, cycles: &self.cycles, inlet: None, units, strip: None }
    }
}

/// Reads a log and says on the error stream what was wrong with it.
fn read_log(path: &Path, about: &About) -> Result<Log, Failure> {
    let log = here(read(path, about.assumptions())?);
    say_notes(path, &log);
    Ok(log)
}

fn say_notes(path: &Path, log: &Log) {
    for note in log.notes.all() {
        say(&format!("{}: {note}", path.display()));
    }
}

/// The cycles in a trace.
fn cycles_of(trace: &Trace) -> Vec<Cycle> {
    Analysis::of(trace).cycles
}

/// Times that a log has in UTC are shown in the zone of this computer.
fn here(mut log: Log) -> Log {
    if let Some(clock) = &mut log.trace.clock {
        clock.show_in(&TimeZone::system());
    }
    log
}

/// Prints a screen to standard output, styles taken out where it is no terminal. Text of others in it is harmless already.
fn print(text: &str) -> Result<(), Failure> {
    hand_over(&styled(text))
}

/// Prints what a program reads, as it is. A reader that has seen enough and left is no failure, and changes no verdict.
fn hand_over(text: &str) -> Result<(), Failure> {
    let mut out = anstream::stdout();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(OutputError::Write { name: "standard output".into(), error }.into())
        }
        _ => Ok(()),
    }
}

/// Says something beside the output proper, whoever's text is in it.
fn say(text: &str) {
    let _ = writeln!(anstream::stderr(), "{}", plain(text));
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;

    #[test]
    fn every_command_is_sound_and_shows_an_example() {
        Tubtrace::command().debug_assert();
        for command in Tubtrace::command().get_subcommands() {
            let shown = command.get_after_help().map(ToString::to_string).unwrap_or_default();
            let example = format!("\n  tubtrace {}", command.get_name());
            assert!(shown.contains("Example") && shown.contains(&example), "{}: {shown}", command.get_name());
        }
    }

    #[test]
    fn every_shell_and_every_manual_page_knows_every_command() {
        let names: Vec<String> =
            Tubtrace::command().get_subcommands().map(|c| c.get_name().to_owned()).collect();
        let mut texts = Vec::new();
        for shell in <clap_complete::Shell as clap::ValueEnum>::value_variants() {
            let mut script = Vec::new();
            clap_complete::generate(*shell, &mut Tubtrace::command(), "tubtrace", &mut script);
            texts.push(String::from_utf8(script).unwrap());
        }
        let mut page = Vec::new();
        clap_mangen::Man::new(Tubtrace::command()).render(&mut page).unwrap();
        texts.push(String::from_utf8(page).unwrap());
        for (text, name) in texts.iter().flat_map(|t| names.iter().map(move |n| (t, n))) {
            assert!(text.contains(name.as_str()), "{name}");
        }
    }
}
