//! Why something is not written.

use std::io;

/// Why something is not written.
#[derive(Debug, thiserror::Error)]
pub enum OutputError {
    /// It is an input of the same command.
    #[error("{0} is read here too, and what is read is never written over; give the output another name")]
    Input(String),
    /// A file of this name is there already.
    #[error("{0} is there already; give another name, or --force to write over it")]
    Exists(String),
    /// It is there, and is never written over.
    #[error("{0} is there already; give another name, or move it away")]
    Kept(String),
    /// It is a folder.
    #[error("{0} is a folder; name a file in it")]
    Folder(String),
    /// A file stands where a folder should.
    #[error("{0} is a file; name a folder")]
    NoFolder(String),
    /// The folder that it should go into is not there.
    #[error("cannot write {name}: there is no folder {folder}; make it first")]
    NoParent {
        /// The output, as the user named it.
        name: String,
        /// The folder that is not there.
        folder: String,
    },
    /// Standard input is named twice.
    #[error("- is standard input, which can be read only once; name a file for the other")]
    Twice,
    /// A log that grows has to be a file.
    #[error("- is standard output, in which a log cannot be kept; name a file")]
    Stream,
    /// The system does not let it be written.
    #[error("cannot write {name}: {error}")]
    Write {
        /// The output, as the user named it.
        name: String,
        /// What the system said.
        error: io::Error,
    },
}
