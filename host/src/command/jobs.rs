//! `tubtrace jobs`.

use std::path::{Path, PathBuf};

use clap::Args;

use super::judging::{How, Outcomes};
use super::known::Given;
use super::outcome::{Done, Failure};
use super::streams::{hand_over, print};
use super::worked::{About, read_log};
use crate::diagnosis::diagnose;
use crate::findings::Causes;
use crate::job::Job;
use crate::report::{JobRow, jobs_json, jobs_table};
use crate::text::json;

/// Lists the logs of a folder: when, whose, which machine, and what each comes to in a line.
///
/// Of each log, night.tub or night.csv, what is known of the job stands beside it in night.job.toml: customer, place, appliance, complaint,
/// and the machine file that it is checked with. `pull`, `import` and `report` write and read it.
#[derive(Args)]
#[command(after_help = "Example:\n  tubtrace jobs winter/")]
pub(super) struct Jobs {
    /// A folder of logs.
    folder: PathBuf,
    /// JSON Lines instead of text: an object for each log.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    about: About,
}

impl Jobs {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let logs = logs_of(&self.folder)?;
        if logs.is_empty() {
            return Err(Failure::Other(format!(
                "{}: no *.tub and no *.csv in this folder",
                self.folder.display()
            )));
        }
        let rows: Vec<JobRow> = logs.iter().map(|log| self.row(log)).collect();
        if self.json {
            rows.iter().try_for_each(|row| hand_over(&(json(&jobs_json(row)) + "\n")))?;
        } else {
            print(&jobs_table(&rows))?;
        }
        Ok(Done::Well)
    }

    /// What a log comes to. One that cannot be read is a row that says why, and no reason to leave the others out.
    fn row(&self, log: &Path) -> JobRow {
        let file = log.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        self.worked(log, &file).unwrap_or_else(|failure| JobRow::failed(file, failure.to_string()))
    }

    fn worked(&self, log: &Path, file: &str) -> Result<JobRow, Failure> {
        let job = Job::of_log(log).map_err(|error| Failure::Other(error.to_string()))?;
        let (worked, machine) = Given::NONE.work_one(read_log(log, &self.about)?, job)?;
        let causes = Causes::built_in();
        let Outcomes { judged, .. } = How::default().judge(log, &worked, machine.as_ref(), None, causes)?;
        let diagnoses = diagnose(&worked.cycles, &judged, causes);
        Ok(JobRow::of(file.to_owned(), worked.job.clone(), &worked.log.trace, &judged, &diagnoses))
    }
}

/// The logs of a folder, by name.
pub(super) fn logs_of(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    let unreadable =
        |error: std::io::Error| Failure::Other(format!("cannot read {}: {error}", folder.display()));
    let mut logs = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(unreadable)? {
        logs.push(entry.map_err(unreadable)?.path());
    }
    let is_log = |path: &Path| {
        path.extension().is_some_and(|e| e.eq_ignore_ascii_case("tub") || e.eq_ignore_ascii_case("csv"))
    };
    logs.retain(|path| path.is_file() && is_log(path));
    logs.sort();
    Ok(logs)
}
