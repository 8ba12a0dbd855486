//! Logs into traces: `.tub` logs and CSV files from any meter, damaged or not.

mod join;
mod layout;
mod meter_csv;
mod notes;
mod order;
mod resample;
mod timing;
mod tub;
mod wav;
mod write;

use std::io::Read;
use std::path::Path;

use tubtrace_units::Volts;

pub use layout::{COLUMNS, Layout};
pub use notes::{Note, Notes};
pub use wav::{Scale, from_wav, from_wav_reader};
pub(crate) use write::append;
pub use write::to_tub;

use crate::trace::Trace;

/// What the user says about a log that the log does not.
#[derive(Clone, Copy, Debug, Default)]
pub struct Assumptions {
    /// Nominal volts of the supply.
    pub volts: Option<Volts>,
}

/// A log that was read.
#[derive(Clone, Debug)]
pub struct Log {
    /// Its time series.
    pub trace: Trace,
    /// What was wrong with it.
    pub notes: Notes,
}

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

/// Bytes of a log at most: a chip of 16 MiB is full long before, and a year of a meter's seconds is 600 MB. It is held in memory,
/// several times over.
const LARGEST: u64 = 1 << 29;

/// Reads the log at `path`, or standard input for `-`.
///
/// # Errors
/// Only when nothing can be used: damage that leaves something is in the notes.
pub fn read(path: &Path, assumptions: Assumptions) -> Result<Log, LogError> {
    read_as(path, assumptions, &Layout::default())
}

/// The same, where a CSV has a layout of its own.
///
/// # Errors
/// Likewise.
pub fn read_as(path: &Path, assumptions: Assumptions, layout: &Layout) -> Result<Log, LogError> {
    let name = if path == Path::new("-") { "standard input".to_owned() } else { path.display().to_string() };
    let bytes = read_bytes(path).map_err(|error| LogError::Io { name: name.clone(), error })?;
    let mut log = parse_as(&bytes, assumptions, layout).map_err(|what| LogError::Unusable { name, what })?;
    if log.trace.label.is_empty() {
        log.trace.label = path.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned());
    }
    Ok(log)
}

fn read_bytes(path: &Path) -> std::io::Result<Vec<u8>> {
    let source: Box<dyn Read> = if path == Path::new("-") {
        Box::new(std::io::stdin().lock())
    } else {
        let file = std::fs::File::open(path)?;
        // Refused before a byte of it is read.
        if file.metadata()?.len() > LARGEST {
            return Err(too_large());
        }
        Box::new(file)
    };
    let mut bytes = Vec::new();
    source.take(LARGEST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST {
        return Err(too_large());
    }
    Ok(bytes)
}

fn too_large() -> std::io::Error {
    std::io::Error::new(
        std::io::ErrorKind::FileTooLarge,
        "larger than 512 MiB: a log is smaller; split a meter's CSV by days",
    )
}

/// Reads a log from memory.
///
/// # Errors
/// A sentence that says what is wrong, when nothing can be used.
pub fn parse(bytes: &[u8], assumptions: Assumptions) -> Result<Log, String> {
    parse_as(bytes, assumptions, &Layout::default())
}

/// The same, where a CSV has a layout of its own.
///
/// # Errors
/// Likewise.
pub fn parse_as(bytes: &[u8], assumptions: Assumptions, layout: &Layout) -> Result<Log, String> {
    if bytes.is_empty() {
        return Err("the file is empty".into());
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err("this is UTF-16 text; save it as CSV in UTF-8".into());
    }
    // A log has a zero within any 600 bytes; text has none.
    if bytes.iter().take(4_096).any(|&b| b == 0) {
        tub::parse(bytes, assumptions)
    } else {
        meter_csv::parse(bytes, assumptions, layout)
    }
}
