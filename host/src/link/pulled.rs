//! What was fetched, or why it was not.

use std::io;

use super::error::LinkError;
use crate::output::OutputError;

/// Why a log was not fetched.
#[derive(Debug, thiserror::Error)]
pub enum PullError {
    /// The logger or the connection failed after frames had come; they are kept.
    #[error("{error}; {frames} frames are kept in {part}, and the same command goes on from there")]
    Broken {
        /// Why the logger or the connection failed.
        error: LinkError,
        /// How many frames there are so far.
        frames: u32,
        /// Name of the file that keeps them.
        part: String,
    },
    /// The logger or the connection failed before any frame came.
    #[error(transparent)]
    Link(#[from] LinkError),
    /// The system does not let the file be read or written.
    #[error("cannot write {name}: {error}")]
    File {
        /// Name of the file.
        name: String,
        /// What the system said.
        error: io::Error,
    },
    /// The log cannot be where it should.
    #[error(transparent)]
    Output(#[from] OutputError),
    /// Something has taken the log's name meanwhile.
    #[error("{log} is there by now; the whole log is in {part}: rename it, or give another name")]
    Exists {
        /// Name that the log was to have.
        log: String,
        /// Name of the file that keeps what was fetched.
        part: String,
    },
    /// Another pull is writing the same file; holds its name.
    #[error("another pull is writing {0}; let it end, or give another name")]
    Busy(String),
    /// What is there was not left by a pull, or by one of another logger.
    #[error("{0} is no unfinished pull of this logger; move it away, or give another name")]
    Foreign(String),
    /// The logger sent more bytes than its memory can hold.
    #[error(
        "the logger sent more than the {bytes} bytes that it can hold; what came is in {part}; unplug the logger, plug it in again and pull into another name"
    )]
    TooMuch {
        /// How many bytes it can hold.
        bytes: u64,
        /// Name of the file that keeps what came.
        part: String,
    },
    /// There is nothing to fetch.
    #[error("the logger holds no log")]
    Empty,
}

/// How much of a log was fetched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pulled {
    /// Frames in the log.
    pub frames: u32,
    /// How many of them were there from an earlier try.
    pub resumed: u32,
    /// Length of the log in bytes.
    pub bytes: u64,
}
