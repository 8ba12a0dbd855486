//! What a person says of a job on the command line.

use std::path::Path;

use clap::Args;

use super::outcome::Failure;
use super::writing::Writing;
use crate::job::Job;
use crate::output::Place;

/// Who, where, which machine, which complaint: it heads what is printed, and stands beside the log in a file (night.job.toml).
#[derive(Args, Clone)]
#[command(next_help_heading = "The job")]
pub(super) struct AboutJob {
    /// Whose machine it is.
    #[arg(long, value_name = "TEXT")]
    customer: Option<String>,
    /// Where it stands.
    #[arg(long, value_name = "TEXT")]
    place: Option<String>,
    /// Which machine it is.
    #[arg(long, value_name = "TEXT")]
    appliance: Option<String>,
    /// What it is said to do, or not to do.
    #[arg(long, value_name = "TEXT")]
    complaint: Option<String>,
}

impl AboutJob {
    fn said(&self) -> Job {
        Job {
            customer: self.customer.clone(),
            place: self.place.clone(),
            appliance: self.appliance.clone(),
            complaint: self.complaint.clone(),
            machine: None,
        }
    }

    /// Whether anything is said.
    pub(super) fn is_said(&self) -> bool {
        !self.said().is_empty()
    }

    /// The job of a log: what is said here, and what its file says.
    pub(super) fn of_log(&self, log: &Path) -> Result<Job, Failure> {
        Ok(self.said().or(Job::of_log(log).map_err(|error| Failure::Other(error.to_string()))?))
    }

    /// Where the job of a log that is going to be written stands, and what will stand there; nothing where nothing is said. What its
    /// file says already is kept.
    pub(super) fn beside(&self, log: &Path) -> Result<Option<(Place, Job)>, Failure> {
        if !self.is_said() || log == Path::new("-") {
            return Ok(None);
        }
        let job = self.of_log(log)?;
        // A job that is there is added to.
        let place = Writing { force: true }.place(&Job::path_of(log), &[])?;
        Ok(Some((place, job)))
    }
}
