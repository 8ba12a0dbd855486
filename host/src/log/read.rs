//! Reads a log, whatever it is: `.tub` or CSV, from a file, from standard input or from memory.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use super::assumptions::Assumptions;
use super::contents::Log;
use super::error::LogError;
use super::layout::Layout;
use super::letters::{are_of_utf16, utf8};
use super::riff::is_wav;
use super::source::{HEAD, LARGEST, Source};
use super::{frames, meter_csv, plausible, tub};

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
    let failed = |error| LogError::Io { name: name.clone(), error };
    let log = if path == Path::new("-") {
        parse_as(&read_bytes(std::io::stdin().lock()).map_err(failed)?, assumptions, layout)
    } else {
        parse_file(&File::open(path).map_err(failed)?, assumptions, layout).map_err(failed)?
    };
    let mut log = log.map_err(|what| LogError::Unusable { name, what })?;
    if log.trace.label.is_empty() {
        log.trace.label = path.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned());
    }
    Ok(log)
}

/// A large CSV is read from the file for each pass and never held, unless it is UTF-16; all else is read into memory.
fn parse_file(
    file: &File,
    assumptions: Assumptions,
    layout: &Layout,
) -> std::io::Result<Result<Log, String>> {
    let about = file.metadata()?;
    // Refused before a byte of it is read.
    if about.len() > LARGEST {
        return Err(too_large());
    }
    let mut bytes = Vec::new();
    file.take(HEAD as u64).read_to_end(&mut bytes)?;
    if about.is_file() && bytes.len() == HEAD && kind(&bytes) == Ok(Kind::Csv) && !are_of_utf16(&bytes) {
        return Ok(meter_csv::parse(&Source { head: &bytes, file: Some(file) }, assumptions, layout));
    }
    file.take(LARGEST + 1 - bytes.len() as u64).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST { Err(too_large()) } else { Ok(parse_as(&bytes, assumptions, layout)) }
}

/// All bytes of a log.
///
/// # Errors
/// When they cannot be read, or are more than a log has.
pub fn read_bytes(source: impl Read) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    source.take(LARGEST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST { Err(too_large()) } else { Ok(bytes) }
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
    if kind(bytes)? == Kind::Tub {
        let log = tub::parse(bytes, assumptions)?;
        // Ticks count to 13.6 years.
        if log.trace.duration().0 > plausible::LONGEST {
            let length = crate::text::duration(log.trace.duration());
            return Err(format!(
                "its ticks say that it is {length} long, and a log is no longer than 400 days: its ticks are damaged"
            ));
        }
        Ok(log)
    } else {
        meter_csv::parse(&Source { head: &utf8(bytes), file: None }, assumptions, layout)
    }
}

/// What can be read.
#[derive(PartialEq, Eq)]
enum Kind {
    Tub,
    Csv,
}

/// What bytes are that begin like this.
fn kind(bytes: &[u8]) -> Result<Kind, String> {
    if bytes.is_empty() {
        return Err("the file is empty".into());
    }
    if is_wav(bytes) {
        return Err("this is a WAV; `tubtrace import` makes a log of it".into());
    }
    Ok(if is_tub(bytes) { Kind::Tub } else { Kind::Csv })
}

/// Whether these are the bytes of a `.tub` log. It has a zero within any 600 bytes; text has none, or the mark of UTF-16.
#[must_use]
pub fn is_tub(bytes: &[u8]) -> bool {
    !is_wav(bytes) && !are_of_utf16(bytes) && bytes.iter().take(4_096).any(|&b| b == 0)
}

/// A log's frames that are intact, byte by byte as they are, what label, marks and mains frequency there are among them.
#[must_use]
pub fn intact(bytes: &[u8]) -> Vec<u8> {
    frames::intact(bytes)
}
