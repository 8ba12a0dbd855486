//! The logs of a group of cycles, their machines and their cycles.

use std::path::{Path, PathBuf};

use clap::ValueEnum;

use super::jobs::logs_of;
use super::outcome::Failure;
use crate::intervals::Cycle;
use crate::job::Job;
use crate::learn::Nights;
use crate::loads::Draws;
use crate::log::Log;
use crate::trace::Trace;

/// Of which machine a log is.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum By {
    Auto,
    Log,
    Folder,
}

/// The machine of each log, as a number.
pub(super) fn machines_of(by: By, paths: &[&Path]) -> Result<Vec<usize>, Failure> {
    let mut known: Vec<Option<String>> = Vec::new();
    let mut number = |name: Option<String>| {
        known.iter().position(|k| *k == name).unwrap_or_else(|| {
            known.push(name);
            known.len() - 1
        })
    };
    paths
        .iter()
        .map(|path| {
            let text = |path: &Path| path.display().to_string();
            Ok(number(match by {
                By::Auto => Job::of_log(path).map_err(|e| Failure::Other(e.to_string()))?.appliance,
                By::Log => Some(text(path)),
                By::Folder => path.parent().map(text),
            }))
        })
        .collect()
}

/// The cycles of each log, those of one machine read by what they say of its loads together.
pub(super) fn cycles_of(logs: &[Log], machines: &[usize], draws: &Draws) -> Vec<Vec<Cycle>> {
    let mut all: Vec<Vec<Cycle>> = vec![Vec::new(); logs.len()];
    for machine in 0..=machines.iter().copied().max().unwrap_or(0) {
        let own: Vec<usize> = (0..logs.len()).filter(|&i| machines[i] == machine).collect();
        let traces: Vec<&Trace> = own.iter().map(|&i| &logs[i].trace).collect();
        for (i, cycles) in own.into_iter().zip(Nights::read(&traces, draws).cycles) {
            all[i] = cycles;
        }
    }
    all
}

/// The logs of a group: those that were named, and those of folders.
pub(super) fn logs(given: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut all = Vec::new();
    for path in given {
        if !path.is_dir() {
            all.push(path.clone());
            continue;
        }
        let own = logs_of(path)?;
        if own.is_empty() {
            return Err(Failure::Other(format!("{}: no *.tub and no *.csv in this folder", path.display())));
        }
        all.extend(own);
    }
    Ok(all)
}

/// What a group is called.
pub(super) fn listed(given: &[PathBuf]) -> String {
    match given {
        [one] => one.display().to_string(),
        [first, rest @ ..] => format!("{} and {} more", first.display(), rest.len()),
        [] => String::new(),
    }
}
