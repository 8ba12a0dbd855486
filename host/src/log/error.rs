//! Why a log gave nothing.

/// Why a log gave nothing.
#[derive(Debug, thiserror::Error)]
pub enum LogError {
    /// The file could not be read.
    #[error("cannot read {name}: {error}")]
    Io {
        /// Path of the file, as it was given.
        name: String,
        /// What the system says of it.
        error: std::io::Error,
    },
    /// Nothing in it could be used.
    #[error("{name}: {what}")]
    Unusable {
        /// Path of the file, as it was given.
        name: String,
        /// What is wrong and what to do.
        what: String,
    },
}
