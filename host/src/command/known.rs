//! What is known of the machine, as a command is given it: a machine file, a chart, a folder of them, or the sheet behind its panel.

use std::path::{Path, PathBuf};

use clap::Args;

use super::outcome::Failure;
use super::streams::say;
use super::worked::Worked;
use crate::analysis::Analysis;
use crate::chart::Machine;
use crate::intervals::Cycle;
use crate::job::Job;
use crate::loads::Draws;
use crate::log::Log;
use crate::parallel;
use crate::programme::familiarity;
use crate::sheet::{Drawn, Mistakes, Paper, SheetError, called, chart, read, remarks};

/// What is known of the machine.
#[derive(Args)]
pub(super) struct Known {
    /// What is known of the machine: a machine file, a chart, or a folder of them, of which the one is taken that explains the log best.
    #[arg(long, visible_alias = "chart", value_name = "MACHINE")]
    machine: Option<PathBuf>,
    /// The sheet behind the panel, typed in as text, instead of a machine file; - is standard input. How it is written: tubtrace sheet --help.
    #[arg(long, value_name = "SHEET", conflicts_with = "machine")]
    sheet: Option<PathBuf>,
}

/// The machines that were given, and the sheet where it was one.
pub(super) struct Given {
    pub(super) machines: Option<Vec<Machine>>,
    pub(super) sheet: Option<Drawn>,
}

impl Given {
    /// Nothing, but what the jobs of logs name.
    pub(super) const NONE: Self = Self { machines: None, sheet: None };

    /// Logs of one machine, each worked by what its file says that its loads draw, and that machine: of those that were given the one that
    /// explains the logs best, and else what the job of one names.
    pub(super) fn work(&self, logs: Vec<(Log, Job)>) -> Result<(Vec<Worked>, Option<Machine>), Failure> {
        let machines = match (&self.machines, logs.iter().find_map(|(_, job)| job.machine.as_ref())) {
            (Some(machines), _) => machines.clone(),
            (None, Some(path)) => read_machines(path)?,
            (None, None) => Vec::new(),
        };
        let by = |draws: &Draws| -> Vec<Vec<Cycle>> {
            parallel::map(&logs, |(log, _)| Analysis::of_known(&log.trace, draws).cycles)
        };
        let (cycles, machine) = best(machines, by);
        let worked = logs.into_iter().zip(cycles);
        Ok((worked.map(|((log, job), cycles)| Worked::new(log, cycles, job)).collect(), machine))
    }

    /// Likewise of one log.
    pub(super) fn work_one(&self, log: Log, job: Job) -> Result<(Worked, Option<Machine>), Failure> {
        let (mut worked, machine) = self.work(vec![(log, job)])?;
        Ok((worked.remove(0), machine))
    }
}

/// The machine that explains best what `by` makes of logs by what its loads draw, and the cycles that it makes; without a machine, those that
/// it makes by nothing.
pub(super) fn best(
    machines: Vec<Machine>,
    by: impl Fn(&Draws) -> Vec<Vec<Cycle>>,
) -> (Vec<Vec<Cycle>>, Option<Machine>) {
    let alone = machines.len() < 2;
    let weighed = machines.into_iter().map(|machine| {
        let cycles = by(&machine.draws);
        let odds = if alone { 0.0 } else { familiarity(&machine, cycles.iter().flatten()) };
        (odds, cycles, machine)
    });
    match weighed.max_by(|a, b| a.0.total_cmp(&b.0)) {
        Some((_, cycles, machine)) => (cycles, Some(machine)),
        None => (by(&Draws::default()), None),
    }
}

impl Known {
    /// The files that are read.
    pub(super) fn inputs(&self) -> impl Iterator<Item = &Path> {
        self.machine.as_deref().into_iter().chain(self.sheet.as_deref())
    }

    /// Reads what was given.
    pub(super) fn read(&self) -> Result<Given, Failure> {
        if let Some(path) = &self.sheet {
            let drawn = drawn(&read(path)?, path)?;
            return Ok(Given { machines: Some(vec![drawn.chart.clone().into()]), sheet: Some(drawn) });
        }
        Ok(Given { machines: self.machine.as_deref().map(read_machines).transpose()?, sheet: None })
    }
}

/// The chart of a sheet. What is odd about it is said on the error stream.
pub(super) fn drawn(paper: &Paper, path: &Path) -> Result<Drawn, SheetError> {
    let name = called(path);
    let drawn = chart(paper).map_err(|all| SheetError::Wrong(Mistakes { name: name.clone(), all }))?;
    for remark in remarks(&drawn) {
        say(&format!("{name}:{}: {}", remark.line, remark.what));
    }
    Ok(drawn)
}

/// The machine of a file, or of all machine files and charts of a folder.
pub(super) fn read_machines(path: &Path) -> Result<Vec<Machine>, Failure> {
    if !path.is_dir() {
        return Ok(vec![crate::chart::read(path)?]);
    }
    let name = path.display();
    let unreadable = |error: std::io::Error| Failure::Other(format!("cannot read {name}: {error}"));
    let mut files = Vec::new();
    for entry in std::fs::read_dir(path).map_err(unreadable)? {
        files.push(entry.map_err(unreadable)?.path());
    }
    let ends = |file: &Path, end: &str| file.file_name().is_some_and(|n| n.to_string_lossy().ends_with(end));
    files.retain(|f| ends(f, ".machine.toml") || ends(f, ".chart.toml"));
    files.sort();
    if files.is_empty() {
        return Err(Failure::Other(format!("{name}: no *.machine.toml and no *.chart.toml in this folder")));
    }
    files.iter().map(|file| Ok(crate::chart::read(file)?)).collect()
}
