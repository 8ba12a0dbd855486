//! `tubtrace timeline`.

use std::path::{Path, PathBuf};

use clap::Args;

use super::about_job::AboutJob;
use super::known::{Given, read_machines};
use super::outcome::{Done, Failure};
use super::several::each;
use super::shown::{Inlet, Shown, Strip};
use super::streams::{hand_over, print};
use super::worked::{About, read_log};
use crate::report::{Subject, timeline, timeline_json};
use crate::text::json;

/// The intervals of every cycle in a log, as a table.
#[derive(Args)]
#[command(
    after_help = "Example:\n  tubtrace timeline night.tub\n  tubtrace timeline --json meter.csv > intervals.json"
)]
pub(super) struct Timeline {
    /// .tub logs, or CSVs with a header: time (ISO 8601 or seconds), watts or amps; - is standard input.
    #[arg(required = true, value_name = "LOG")]
    logs: Vec<PathBuf>,
    /// What is known of the machine: a machine file, or a folder of them. What its loads draw is then taken from it and not learned from the
    /// log.
    #[arg(long, value_name = "MACHINE")]
    machine: Option<PathBuf>,
    /// One JSON object for each log instead of a table.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    inlet: Inlet,
    #[command(flatten)]
    about: About,
    #[command(flatten)]
    job: AboutJob,
    #[command(flatten)]
    shown: Shown,
    #[command(flatten)]
    strip: Strip,
}

impl Timeline {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let machines = self.machine.as_deref().map(read_machines).transpose()?;
        let given = Given { machines, sheet: None };
        each(&self.logs, self.json, |log| self.show(log, &given))
    }

    fn show(&self, log: &Path, given: &Given) -> Result<Done, Failure> {
        let (worked, _) = given.work_one(read_log(log, &self.about)?, self.job.of_log(log)?)?;
        let units = self.shown.units();
        let inlet = self.inlet.flow(units);
        let subject = Subject { inlet, strip: self.strip.columns(), ..worked.subject(self.shown) };
        if self.json {
            hand_over(&(json(&timeline_json(subject)) + "\n"))?;
        } else {
            print(&timeline(subject))?;
        }
        Ok(Done::Well)
    }
}
