//! Why a log gave nothing.

/// Why a log gave nothing.
#[derive(Debug, thiserror::Error)]
pub enum LogError {
    /// The file could not be read.
    #[error("cannot read {name}: {error}")]
    Io {
        /// The file.
        name: String,
        /// Why.
        error: std::io::Error,
    },
    /// Nothing in it could be used.
    #[error("{name}: {what}")]
    Unusable {
        /// The file.
        name: String,
        /// What is wrong and what to do.
        what: String,
    },
}
