//! Reads `*.machine.toml` and `*.chart.toml`. Every complaint names line and column.

use std::fs::File;
use std::io::{self, ErrorKind, Read};
use std::path::Path;

use super::complaint::{Complaint, spoken};
use super::machine::Machine;
use super::numbers::baselines_can_be;
use super::tables::Table;

/// Why a chart cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum ChartError {
    /// The file could not be read.
    #[error("cannot read the chart {name}: {error}")]
    Io {
        /// Path of the file, as it was given.
        name: String,
        /// What the system says of it.
        error: std::io::Error,
    },
    /// It does not say what a chart must say.
    #[error("{name}:{line}:{column}: {what}")]
    Wrong {
        /// Path of the file, as it was given.
        name: String,
        /// Line of the file, from 1.
        line: usize,
        /// From 1, in characters.
        column: usize,
        /// What is wrong and what to do.
        what: String,
    },
}

/// Bytes of a chart, or of causes, at most.
const LARGEST: u64 = 1 << 20;

/// Reads the machine file or the chart at `path`.
///
/// # Errors
/// See [`ChartError`].
pub fn read(path: &Path) -> Result<Machine, ChartError> {
    let name = path.display().to_string();
    match small_text(path) {
        Ok(text) => parse(&text, &name),
        Err(error) => Err(ChartError::Io { name, error }),
    }
}

/// The text of a file that people write. Not more than that of a large one is read: a device has no end.
pub(crate) fn small_text(path: &Path) -> io::Result<String> {
    let mut bytes = Vec::new();
    File::open(path)?.take(LARGEST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST {
        let what = "larger than 1 MiB, which nobody writes by hand";
        return Err(io::Error::new(ErrorKind::FileTooLarge, what));
    }
    String::from_utf8(bytes).map_err(|e| io::Error::new(ErrorKind::InvalidData, e.utf8_error()))
}

/// Reads a machine, or a chart as a machine of one programme, from `text`; `name` is for messages.
///
/// # Errors
/// [`ChartError::Wrong`].
pub fn parse(text: &str, name: &str) -> Result<Machine, ChartError> {
    let wrong = |Complaint { at, what }: Complaint| {
        let (line, column) = place(text, at);
        ChartError::Wrong { name: name.to_owned(), line, column, what }
    };
    let file: Table = toml::from_str(text).map_err(|error| {
        let at = error.span().map_or(0, |s| s.start);
        wrong(Complaint { at, what: spoken(error.message()) })
    })?;
    baselines_can_be(text).map_err(wrong)?;
    file.check().map_err(wrong)
}

/// Line and column of a byte of a text, both from 1.
pub(crate) fn place(text: &str, at: usize) -> (usize, usize) {
    let before = &text[..at.min(text.len())];
    let column = before.chars().rev().take_while(|&c| c != '\n').count() + 1;
    (before.matches('\n').count() + 1, column)
}
