//! `tubtrace timeline`.

use std::path::PathBuf;

use clap::Args;

use super::{About, Done, Failure, Worked, print};
use crate::report::{timeline, timeline_json};

/// The intervals of every cycle in a log, as a table.
#[derive(Args)]
#[command(
    after_help = "Example:\n  tubtrace timeline night.tub\n  tubtrace timeline --json meter.csv > intervals.json"
)]
pub(super) struct Timeline {
    /// A .tub log, or a CSV with a header: time (ISO 8601 or seconds), watts or amps; - is standard input.
    log: PathBuf,
    /// One JSON object instead of a table.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    about: About,
}

impl Timeline {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let worked = Worked::read(&self.log, &self.about)?;
        if self.json {
            print(&(timeline_json(worked.subject()) + "\n"))?;
        } else {
            print(&timeline(worked.subject()))?;
        }
        Ok(Done::Well)
    }
}
