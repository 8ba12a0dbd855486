//! Reads `*.machine.toml` and `*.chart.toml`. Every complaint names line and column.

use std::fs::File;
use std::io::{self, ErrorKind, Read};
use std::path::Path;

use super::complaint::{Complaint, FileError, tables};
use super::machine::Machine;
use super::numbers::baselines_can_be;
use super::tables::Table;

/// Bytes of a chart, or of causes, at most.
const LARGEST: u64 = 1 << 20;

/// Reads the machine file or the chart at `path`.
///
/// # Errors
/// See [`FileError`].
pub fn read(path: &Path) -> Result<Machine, FileError> {
    let name = path.display().to_string();
    match small_text(path) {
        Ok(text) => parse(&text, &name),
        Err(error) => Err(FileError::Io { what: "chart", name, error }),
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
/// [`FileError::Wrong`].
pub fn parse(text: &str, name: &str) -> Result<Machine, FileError> {
    let wrong = |complaint: Complaint| complaint.in_file(text, name);
    let file: Table = tables(text).map_err(wrong)?;
    baselines_can_be(text).map_err(wrong)?;
    file.check().map_err(wrong)
}
