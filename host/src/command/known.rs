//! What is known of the machine, as a command is given it: a machine file, a chart, a folder of them, or the sheet behind its panel.

use std::path::{Path, PathBuf};

use clap::Args;

use super::outcome::Failure;
use super::streams::say;
use super::worked::Worked;
use crate::chart::Machine;
use crate::programme::most_familiar;
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
    /// The machine that a log is held against: of those that were given the one that explains it best, and else what its job names.
    pub(super) fn machine_of(&self, worked: &Worked) -> Result<Option<Machine>, Failure> {
        let machines = match (&self.machines, &worked.job.machine) {
            (Some(machines), _) => machines.clone(),
            (None, Some(path)) => read_machines(path)?,
            (None, None) => return Ok(None),
        };
        Ok(most_familiar(machines, worked.cycles.iter()))
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
fn read_machines(path: &Path) -> Result<Vec<Machine>, Failure> {
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
