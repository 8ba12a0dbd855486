//! Fetching a log. What came is kept in a file of its own until all of it is there, and the next try goes on behind it.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use tubtrace_protocol::{Cursor, check_of, decode};

use super::{Link, LinkError};

/// What the file of a log that is not yet complete is called.
const PART: &str = "part";

/// Why a log was not fetched.
#[derive(Debug, thiserror::Error)]
pub enum PullError {
    /// The logger or the wire.
    #[error("{error}; {frames} frames are kept in {part}, and the same command goes on from there")]
    Broken {
        /// What happened.
        error: LinkError,
        /// How many frames there are so far.
        frames: u32,
        /// Where.
        part: String,
    },
    /// The file.
    #[error("cannot write {name}: {error}")]
    File {
        /// Which.
        name: String,
        /// Why.
        error: io::Error,
    },
    /// The log exists already.
    #[error("{0} is there already; give another name, or move it away")]
    Exists(String),
    /// There is nothing to fetch.
    #[error("the logger holds no log")]
    Empty,
}

/// What was fetched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pulled {
    /// Frames in the log.
    pub frames: u32,
    /// How many of them were there from an earlier try.
    pub resumed: u32,
    /// Bytes of the log.
    pub bytes: u64,
}

/// Inside `pull`, before it is known what to say about the frames kept.
enum Stop {
    Link(LinkError),
    File(io::Error),
}

impl From<LinkError> for Stop {
    fn from(error: LinkError) -> Self {
        Self::Link(error)
    }
}

/// Fetches the log into `path`. Nothing is erased on the logger. `progress` hears the bytes so far.
///
/// # Errors
/// [`PullError`]; what came until then is kept for the next try.
pub fn pull<W: Read + Write>(
    link: &mut Link<W>,
    path: &Path,
    mut progress: impl FnMut(u64),
) -> Result<Pulled, PullError> {
    if path.exists() {
        return Err(PullError::Exists(path.display().to_string()));
    }
    let part = part_of(path);
    let name = part.display().to_string();
    let failed = |error| PullError::File { name: name.clone(), error };

    let (mut cursor, mut bytes) = kept(&part).map_err(failed)?;
    let resumed = cursor.frames;
    let mut file = OpenOptions::new().create(true).append(true).open(&part).map_err(failed)?;
    // What a crash left behind the last whole frame goes.
    file.set_len(bytes).map_err(failed)?;
    let read = link.read(&mut cursor, |frame| {
        file.write_all(frame).map_err(Stop::File)?;
        bytes += frame.len() as u64;
        progress(bytes);
        Ok(())
    });
    file.sync_all().map_err(failed)?;
    match read {
        Ok(()) => {}
        Err(Stop::File(error)) => return Err(failed(error)),
        Err(Stop::Link(error)) => return Err(PullError::Broken { error, frames: cursor.frames, part: name }),
    }
    drop(file);
    if cursor.frames == 0 {
        let _ = fs::remove_file(&part);
        return Err(PullError::Empty);
    }
    fs::rename(&part, path).map_err(|error| PullError::File { name: path.display().to_string(), error })?;
    Ok(Pulled { frames: cursor.frames, resumed, bytes })
}

fn part_of(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".");
    name.push(PART);
    name.into()
}

/// Where an earlier try stopped: the whole frames at the start of its file, and how many bytes they are.
fn kept(part: &Path) -> io::Result<(Cursor, u64)> {
    let mut bytes = Vec::new();
    match File::open(part) {
        Ok(mut file) => file.read_to_end(&mut bytes)?,
        Err(error) if error.kind() == io::ErrorKind::NotFound => 0,
        Err(error) => return Err(error),
    };
    let (mut cursor, mut length) = (Cursor::default(), 0);
    for frame in bytes.split_inclusive(|&b| b == 0) {
        let Some(content) = frame.strip_suffix(&[0]) else { break };
        let (Ok(_), Ok(check)) = (decode(content), check_of(content)) else { break };
        cursor = Cursor { frames: cursor.frames + 1, check };
        length += frame.len() as u64;
    }
    Ok((cursor, length))
}
