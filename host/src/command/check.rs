//! `tubtrace check`.

use std::path::{Path, PathBuf};

use clap::Args;

use super::outcome::{Done, Failure};
use super::shown::{Shown, Strip};
use super::streams::{hand_over, print};
use super::worked::{About, Worked};
use crate::chart::Machine;
use crate::compare::{OTHERS, among};
use crate::findings::{Causes, Judged, Outcome, Surroundings, judge_with};
use crate::programme::most_familiar;
use crate::report::{Subject, Verdict, check_json, verdict};
use crate::text::json;

/// Holds every cycle of a log against what the machine should do, and names each departure. Without a machine file or a chart, against
/// the other cycles of its programme.
///
/// For each: what was measured, what the chart has, what may be behind it and what to measure next.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace check night.tub --machine dishwasher.machine.toml\n  tubtrace check night.tub                  the odd one among its own cycles\n\nUnplug or lock out the supply and prove it dead before a panel comes off; panels back on before power."
)]
pub(super) struct Check {
    /// A .tub log or a CSV; - is standard input.
    log: PathBuf,
    /// What is known of the machine: a machine file, a chart, or a folder of them, of which the one is taken that explains the log best.
    /// Without it, each cycle is held against the others of its programme.
    #[arg(long, visible_alias = "chart", value_name = "MACHINE")]
    machine: Option<PathBuf>,
    /// A test run in which each interval was cut short by hand: only order and loads are judged.
    #[arg(long)]
    stepped: bool,
    /// A file of causes of your own shop, beside those that come with the program.
    #[arg(long, value_name = "CAUSES")]
    causes: Option<PathBuf>,
    /// One JSON object instead of text.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    about: About,
    #[command(flatten)]
    shown: Shown,
    #[command(flatten)]
    strip: Strip,
}

impl Check {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let own = self.causes.as_deref().map(read_causes).transpose()?;
        let causes = own.as_ref().unwrap_or(Causes::built_in());
        let machines = self.machine.as_deref().map(read_machines).transpose()?;
        let worked = Worked::read(&self.log, &self.about)?;
        if worked.cycles.is_empty() {
            let name = self.log.display();
            return Err(Failure::Other(format!("{name}: no cycle in it, so there is nothing to check")));
        }
        worked.judgeable(&self.log)?;
        let machine = machines.and_then(|all| most_familiar(all, worked.cycles.iter()));
        let (name, mut judged) = match &machine {
            Some(machine) if self.stepped => {
                (machine.name.as_str(), judge_all(&worked, &machine.without_times(), causes))
            }
            Some(machine) => (machine.name.as_str(), judge_all(&worked, machine, causes)),
            None => (OTHERS, judge_among(&worked, causes)),
        };
        if self.stepped {
            judged.iter_mut().for_each(Judged::keep_order_and_loads);
        }
        let subject = Subject { strip: self.strip.columns(), ..worked.subject(self.shown.units()) };
        let told = Verdict { subject, chart: name, judged: &judged };
        if self.json {
            hand_over(&(json(&check_json(told)) + "\n"))?;
        } else {
            print(&verdict(told))?;
        }
        Ok(match told.outcome() {
            Outcome::Within => Done::Well,
            Outcome::Departs => Done::Departs,
            Outcome::Unknown => Done::Unknown,
        })
    }
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

fn read_causes(path: &Path) -> Result<Causes, Failure> {
    let name = path.display().to_string();
    let text = crate::chart::small_text(path)
        .map_err(|error| Failure::Other(format!("cannot read {name}: {error}")))?;
    Causes::with(&text, &name).map_err(|error| Failure::Other(error.to_string()))
}

/// Judges every cycle by what the others say of the machine.
pub(super) fn judge_among(worked: &Worked, causes: &Causes) -> Vec<Judged> {
    let surroundings = Surroundings::of(&worked.log.trace, &worked.cycles);
    among(&worked.cycles, worked.log.trace.resolution, surroundings, causes)
}

/// Judges every cycle by what its machine should do.
pub(super) fn judge_all(worked: &Worked, machine: &Machine, causes: &Causes) -> Vec<Judged> {
    let surroundings = Surroundings::of(&worked.log.trace, &worked.cycles);
    worked.cycles.iter().map(|cycle| judge_with(machine, cycle, surroundings, causes)).collect()
}
