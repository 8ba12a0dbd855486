//! Where the bytes of a CSV come from: memory, or a file that is read again for each pass, so that it need not be held.

use std::fs::File;
use std::io::{Error, Read, Seek, SeekFrom};

/// Bytes of a log at most: a chip of 16 MiB is full long before, and a year of a meter's seconds is 600 MB.
pub(super) const LARGEST: u64 = 1 << 29;

/// Bytes of a file that are held at most: its header stands among them.
pub(super) const HEAD: usize = 1 << 18;

/// The bytes of a CSV.
#[derive(Clone, Copy)]
pub(super) struct Source<'a> {
    /// All of them, or those that a file begins with.
    pub(super) head: &'a [u8],
    /// The file, where there are more.
    pub(super) file: Option<&'a File>,
}

impl<'a> Source<'a> {
    /// Its bytes, from the one with this number on.
    ///
    /// # Errors
    /// A sentence, where the file cannot be read again.
    pub(super) fn from(&self, at: usize) -> Result<Box<dyn Read + 'a>, String> {
        let Some(mut file) = self.file else { return Ok(Box::new(&self.head[at..])) };
        file.seek(SeekFrom::Start(at as u64)).map_err(|e| unreadable(&e))?;
        Ok(Box::new(file.take(LARGEST)))
    }
}

/// The sentence for a file that was there and now cannot be read.
pub(super) fn unreadable(error: &Error) -> String {
    format!("it cannot be read to its end ({error}); copy it to another disk and try again")
}
