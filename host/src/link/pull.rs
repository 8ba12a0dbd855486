//! Fetching a log. What came is kept in a file of its own until all of it is there, and the next try goes on behind it.

use std::io::{self, Read, Write};
use std::path::Path;

use super::{Link, LinkError, Part};
use crate::output::OutputError;

/// Why a log was not fetched.
#[derive(Debug, thiserror::Error)]
pub enum PullError {
    /// The logger or the wire.
    #[error("{error}; {frames} frames are kept in {part}, and the same command goes on from there")]
    Broken {
        /// What happened.
        error: LinkError,
        /// How many frames there are so far.
        frames: u32,
        /// Where.
        part: String,
    },
    /// Before anything came.
    #[error(transparent)]
    Link(#[from] LinkError),
    /// The file.
    #[error("cannot write {name}: {error}")]
    File {
        /// Which.
        name: String,
        /// Why.
        error: io::Error,
    },
    /// The log cannot be where it should.
    #[error(transparent)]
    Output(#[from] OutputError),
    /// Something has taken the log's name meanwhile.
    #[error("{log} is there by now; the whole log is in {part}: rename it, or give another name")]
    Exists {
        /// The log.
        log: String,
        /// Where it is.
        part: String,
    },
    /// Two at once.
    #[error("another pull is writing {0}; let it end, or give another name")]
    Busy(String),
    /// What is there was not left by a pull, or by one of another logger.
    #[error("{0} is no unfinished pull of this logger; move it away, or give another name")]
    Foreign(String),
    /// More came than there can be.
    #[error(
        "the logger sent more than the {bytes} bytes that it can hold; what came is in {part}; unplug the logger, plug it in again and pull into another name"
    )]
    TooMuch {
        /// How many there can be.
        bytes: u64,
        /// Where they are.
        part: String,
    },
    /// There is nothing to fetch.
    #[error("the logger holds no log")]
    Empty,
}

/// What was fetched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pulled {
    /// Frames in the log.
    pub frames: u32,
    /// How many of them were there from an earlier try.
    pub resumed: u32,
    /// Bytes of the log.
    pub bytes: u64,
}

/// Fetches the log into `path`. Nothing is erased on the logger. `progress` hears the bytes so far.
///
/// # Errors
/// [`PullError`]; what came until then is kept for the next try.
pub fn pull<W: Read + Write>(
    link: &mut Link<W>,
    path: &Path,
    progress: impl FnMut(u64),
) -> Result<Pulled, PullError> {
    let mut part = Part::begin(path)?;
    part.belongs_to(link.identity().logger)?;
    let status = link.status()?;
    part.fetch(link, &status, progress)?;
    part.finish()
}
