//! A log file that grows while it is recorded. Unlike other outputs it has its final name from the start, so that all that was written
//! stays if the program is killed.

use std::fs::{File, OpenOptions};
use std::io::{self, Seek, SeekFrom, Write};
use std::path::Path;
use std::time::{Duration, Instant};

use super::error::OutputError;
use super::folder::folder_of;
use super::identity::{is_dash, is_device, is_standard_output};

/// How often the file is synced to the disk, and so how much a power cut of the computer may cost.
const SYNC: Duration = Duration::from_secs(10);

/// Checks that a log may be created at `path`: nothing is there yet, and its folder can be written.
///
/// # Errors
/// [`OutputError`]
pub fn free(path: &Path) -> Result<(), OutputError> {
    let name = path.display().to_string();
    if is_dash(path) || is_standard_output(path) {
        return Err(OutputError::Stream);
    }
    if path.is_dir() {
        return Err(OutputError::Folder(name));
    }
    if path.symlink_metadata().is_ok() {
        return Err(OutputError::Kept(name));
    }
    folder_of(path, &name, false)
}

/// A log file to which whole frames are appended.
#[derive(Debug)]
pub struct Growing {
    file: File,
    name: String,
    /// Length of the file up to its last whole frame, in bytes.
    whole: u64,
    synced: Instant,
    /// Whether it is a regular file; devices and pipes can be neither truncated nor synced.
    is_file: bool,
}

impl Growing {
    /// Checks whether the file could be created, and creates nothing.
    ///
    /// # Errors
    /// [`OutputError`]
    pub fn check(path: &Path) -> Result<(), OutputError> {
        if is_device(path) && !is_standard_output(path) { Ok(()) } else { free(path) }
    }

    /// Creates the file. A file that is there already is never written over.
    ///
    /// # Errors
    /// [`OutputError`]
    pub fn create(path: &Path) -> Result<Self, OutputError> {
        Self::check(path)?;
        let (name, is_file) = (path.display().to_string(), !is_device(path));
        let opened = OpenOptions::new().write(true).create_new(is_file).open(path);
        let file = opened.map_err(|error| match error.kind() {
            io::ErrorKind::AlreadyExists => OutputError::Kept(name.clone()),
            _ => OutputError::Write { name: name.clone(), error },
        })?;
        Ok(Self { file, name, whole: 0, synced: Instant::now(), is_file })
    }

    /// Appends whole frames. If they cannot be written in full (a full disk), the file is cut back to its last whole frame.
    ///
    /// # Errors
    /// [`OutputError::Write`]
    pub fn append(&mut self, frames: &[u8]) -> Result<(), OutputError> {
        if let Err(error) = self.file.write_all(frames) {
            if self.is_file {
                let _ = self.file.set_len(self.whole);
                let _ = self.file.seek(SeekFrom::Start(self.whole));
            }
            return Err(self.failed(error));
        }
        self.whole += frames.len() as u64;
        if self.synced.elapsed() >= SYNC { self.sync() } else { Ok(()) }
    }

    /// Syncs the file to the disk, where a power cut does not reach it.
    ///
    /// # Errors
    /// [`OutputError::Write`]
    pub fn sync(&mut self) -> Result<(), OutputError> {
        self.synced = Instant::now();
        if self.is_file { self.file.sync_data().map_err(|e| self.failed(e)) } else { Ok(()) }
    }

    fn failed(&self, error: io::Error) -> OutputError {
        OutputError::Write { name: self.name.clone(), error }
    }
}
