//! The job: who, where, which machine, which complaint. A text file beside the log, `night.job.toml` beside `night.tub`, which people can
//! read and change.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::text::harmless;

/// What is known of a job beside its log.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// Whose machine it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub customer: Option<String>,
    /// Where it stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// Which machine it is, in the words of whoever asks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub appliance: Option<String>,
    /// What it is said to do, or not to do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub complaint: Option<String>,
    /// What is known of the machine: a machine file, a chart or a folder of them, from the folder of this file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine: Option<PathBuf>,
}

/// Why a job's file cannot be used: a sentence with file, line and column.
#[derive(Debug, thiserror::Error)]
pub enum JobError {
    /// It is there and cannot be read.
    #[error("cannot read {name}: {error}", name = path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system says.
        error: io::Error,
    },
    /// It is no job.
    #[error("{name}:{line}:{column}: {what}; a job has customer, place, appliance, complaint and machine, each a text in quotes", name = path.display())]
    Broken {
        /// The file.
        path: PathBuf,
        /// The line, from 1 on.
        line: usize,
        /// The column, from 1 on.
        column: usize,
        /// What is wrong there.
        what: String,
    },
}

impl Job {
    /// A job of which nothing is known.
    pub const UNKNOWN: Self =
        Self { customer: None, place: None, appliance: None, complaint: None, machine: None };

    /// Where the job of a log stands: `night.job.toml` of `night.tub`.
    #[must_use]
    pub fn path_of(log: &Path) -> PathBuf {
        log.with_extension("job.toml")
    }

    /// The job of a log; one of which nothing is known where there is no file of it.
    ///
    /// # Errors
    /// [`JobError`], when there is a file of it that cannot be used.
    pub fn of_log(log: &Path) -> Result<Self, JobError> {
        let path = Self::path_of(log);
        let text = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Self::default()),
            Err(error) => return Err(JobError::Unreadable { path, error }),
        };
        let mut job: Self = toml::from_str(&text).map_err(|error| {
            let (line, column) = crate::chart::place(&text, error.span().map_or(0, |s| s.start));
            JobError::Broken { path: path.clone(), line, column, what: error.message().to_owned() }
        })?;
        job.machine = job.machine.map(|machine| path.parent().unwrap_or(Path::new("")).join(machine));
        Ok(job)
    }

    /// This one, and what another says of what it does not say.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        Self {
            customer: self.customer.or(other.customer),
            place: self.place.or(other.place),
            appliance: self.appliance.or(other.appliance),
            complaint: self.complaint.or(other.complaint),
            machine: self.machine.or(other.machine),
        }
    }

    /// Whether nothing is known of it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// As it stands in its file.
    #[must_use]
    pub fn to_toml(&self) -> String {
        // Texts alone: it cannot fail.
        toml::to_string(self).unwrap_or_default()
    }

    /// What is told of it above a report: each field with its name.
    #[must_use]
    pub fn lines(&self) -> Vec<(&'static str, String)> {
        let all = [
            ("customer", &self.customer),
            ("place", &self.place),
            ("machine", &self.appliance),
            ("complaint", &self.complaint),
        ];
        all.into_iter().filter_map(|(name, said)| Some((name, harmless(said.as_deref()?)))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn job() -> Job {
        let said = |text: &str| Some(text.to_owned());
        Job { customer: said("invented"), complaint: said("\"stops\"\nnow and then"), ..Job::default() }
    }

    #[test]
    fn what_is_written_is_read_from_beside_the_log() {
        let folder = tempfile::tempdir().unwrap();
        let log = folder.path().join("night.tub");
        assert_eq!(Job::of_log(&log).unwrap(), Job::default());
        fs::write(Job::path_of(&log), Job { machine: Some("flat.machine.toml".into()), ..job() }.to_toml())
            .unwrap();
        let read = Job::of_log(&log).unwrap();
        assert_eq!(read.machine, Some(folder.path().join("flat.machine.toml")));
        assert_eq!(Job { machine: None, ..read }, job());
        assert!(job().lines().iter().all(|(_, text)| !text.contains('\n')));
    }

    #[test]
    fn a_typo_is_told_with_its_place() {
        let folder = tempfile::tempdir().unwrap();
        let log = folder.path().join("night.tub");
        fs::write(Job::path_of(&log), "customer = \"invented\"\ncomplain = \"stops\"\n").unwrap();
        let told = Job::of_log(&log).unwrap_err().to_string();
        assert!(told.contains("night.job.toml:2:1: unknown field `complain`"), "{told}");
    }

    #[test]
    fn what_is_said_comes_before_what_the_file_says() {
        let said = Job { complaint: Some("stays cold".into()), ..Job::default() };
        let both = said.or(job());
        assert_eq!(
            (both.complaint.as_deref(), both.customer.as_deref()),
            (Some("stays cold"), Some("invented"))
        );
    }
}
