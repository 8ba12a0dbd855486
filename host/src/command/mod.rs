//! The command line: flags are parsed here, turned once into the types that the stages think in, and what comes back
//! is printed. Exit code 0: all within, or done; 1: departures found; 2: could not do it; 3: nothing departs, but a cycle
//! is of no programme that is known; 4: nothing departs on the bench, and there are not enough runs.

mod about_job;
mod arm;
mod asked;
mod asking;
mod bench;
mod check;
mod compare;
mod demo;
mod export;
mod grouped;
mod import;
mod jobs;
mod judging;
mod known;
mod learn;
mod logger;
mod meter;
mod outcome;
mod pages;
mod progress;
mod pull;
mod report;
mod seen;
mod several;
mod sheet;
mod shown;
mod streams;
mod timeline;
mod watch;
mod worked;
mod writing;

use std::process::ExitCode;

use clap::{CommandFactory, Parser, Subcommand};

use self::outcome::{Done, Failure};
use self::streams::{print, say};
use crate::output::OutputError;

const CAUTIONS: &str = "\
Cautions:
  Mains, hot water and flooding can hurt people. Clamp on insulated conductors only,
  open nothing to attach a clip, unplug or lock out before a panel comes off, panels
  back on before power. Local codes and licensed practice come first.

Exit codes: 0 all within, or done; 1 departures found; 2 could not do it; 3 nothing departs, but a
  cycle is of no programme that is known, or there is nothing to compare it with; 4 not enough
  runs on the bench.";

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
    Sheet(sheet::Sheet),
    Check(check::Check),
    Compare(compare::Compare),
    Bench(bench::OnBench),
    Report(report::Report),
    Jobs(jobs::Jobs),
    Export(export::Export),
    Completions(pages::Completions),
    Man(pages::Man),
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
        Command::Sheet(sheet) => sheet.run(),
        Command::Check(check) => check.run(),
        Command::Compare(compare) => compare.run(),
        Command::Bench(bench) => bench.run(),
        Command::Report(report) => report.run(),
        Command::Jobs(jobs) => jobs.run(),
        Command::Export(export) => export.run(),
        Command::Completions(completions) => completions.run(Tubtrace::command()),
        Command::Man(man) => man.run(Tubtrace::command()),
    };
    match done {
        Ok(Done::Well) => ExitCode::SUCCESS,
        Ok(Done::Departs) => ExitCode::from(1),
        Ok(Done::Unknown) => ExitCode::from(3),
        Ok(Done::NotEnough) => ExitCode::from(4),
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

#[cfg(test)]
mod tests {
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
