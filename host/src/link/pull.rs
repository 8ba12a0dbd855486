//! Fetching a log. What came is kept in a file of its own until all of it is there, and the next try goes on behind it.

use std::io::{Read, Write};
use std::path::Path;

use super::conversation::Link;
use super::part::Part;
use super::pulled::{PullError, Pulled};

/// Fetches the log into `path`. Nothing is erased on the logger. `progress` hears the bytes so far.
///
/// # Errors
/// [`PullError`]; what came until then is kept for the next try.
pub fn pull<W: Read + Write>(
    link: &mut Link<W>,
    path: &Path,
    progress: impl FnMut(u64),
) -> Result<Pulled, PullError> {
    let mut part = Part::begin(path)?;
    part.belongs_to(link.identity().logger)?;
    let status = link.status()?;
    part.fetch(link, &status, progress)?;
    part.finish()
}
