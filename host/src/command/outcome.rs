//! How a command ended: what its exit code is made of.

use crate::log::LogError;
use crate::output::OutputError;

/// How a command ended, if it could do what it was asked; of several the last decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Done {
    /// It was done, and nothing departs: exit code 0.
    Well,
    /// Nothing departs, but there is a cycle whose programme is not known: exit code 3.
    Unknown,
    /// Nothing departs, and there are not enough runs to say that nothing will: exit code 4.
    NotEnough,
    /// Departures were found: exit code 1.
    Departs,
}

/// Why a command could not do what it was asked: one sentence that names file, place and remedy.
#[derive(Debug, thiserror::Error)]
pub(super) enum Failure {
    #[error(transparent)]
    Log(#[from] LogError),
    #[error(transparent)]
    File(#[from] crate::chart::FileError),
    #[error(transparent)]
    Sheet(#[from] crate::sheet::SheetError),
    #[error(transparent)]
    Learn(#[from] crate::learn::LearnError),
    #[error(transparent)]
    Port(#[from] crate::link::PortError),
    #[error(transparent)]
    Link(#[from] crate::link::LinkError),
    #[error(transparent)]
    Terminal(#[from] crate::live::TerminalError),
    #[error(transparent)]
    Pull(#[from] crate::link::PullError),
    #[error(transparent)]
    Output(#[from] OutputError),
    #[error("{0}")]
    Other(String),
}
