//! What came of a log so far: a file beside the log that it will be, which the next try goes on behind. One pull at a time has it.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use same_file::Handle;
use tempfile::TempPath;
use tubtrace_protocol::{Cursor, Record, Status, check_of, decode};

use super::conversation::Link;
use super::error::LinkError;
use super::pulled::{PullError, Pulled};
use crate::output::{free, rename};

/// What the file of a log that is not yet complete is called.
const PART: &str = "part";

/// What a logger may record while its log is fetched, beyond what it can hold: more than half a day of a machine that washes, and a
/// pull takes hours at most.
const MEANWHILE: u64 = 1 << 20;

/// Bytes of a log at most, whatever a logger says that it holds: 32 times what its chip does.
const MOST: u64 = 1 << 29;

/// A log that comes.
#[derive(Debug)]
pub struct Part {
    file: File,
    part: PathBuf,
    log: PathBuf,
    cursor: Cursor,
    bytes: u64,
    resumed: u32,
    /// The loggers that its frames name.
    loggers: Vec<u32>,
}

/// Why frames stop coming, before it is known what to say about those that are kept.
enum Stop {
    Link(LinkError),
    File(io::Error),
    TooMuch,
}

impl From<LinkError> for Stop {
    fn from(error: LinkError) -> Self {
        Self::Link(error)
    }
}

impl Part {
    /// Begins one for the log at `path`, or takes up what an earlier try left. Nothing that was there is changed yet.
    ///
    /// # Errors
    /// [`PullError`], when the log cannot be written, another pull has it, or what is there was not left by one.
    pub fn begin(path: &Path) -> Result<Self, PullError> {
        free(path)?;
        let part = part_of(path);
        let failed = |error| PullError::File { name: part.display().to_string(), error };
        let foreign = || PullError::Foreign(part.display().to_string());
        match part.symlink_metadata() {
            Ok(there) if !there.is_file() || there.len() > MOST => return Err(foreign()),
            _ => {}
        }
        let mut options = OpenOptions::new();
        options.read(true).write(true);
        // A new file is never made through a link; one that is there may have gone meanwhile, which is then an error.
        let opened = options.clone().create_new(true).open(&part);
        let mut file = match opened {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => options.open(&part),
            opened => opened,
        }
        .map_err(failed)?;
        match file.try_lock() {
            // Where a disk knows no locks, two pulls at once are left to whoever starts them.
            Ok(()) | Err(TryLockError::Error(_)) => {}
            Err(TryLockError::WouldBlock) => return Err(PullError::Busy(part.display().to_string())),
        }
        // What was locked may have become another pull's log, or a link, before it was.
        let same = Handle::from_file(file.try_clone().map_err(failed)?).ok() == Handle::from_path(&part).ok();
        if !same || part.symlink_metadata().map_err(failed)?.is_symlink() {
            return Err(foreign());
        }
        let mut kept = Vec::new();
        file.read_to_end(&mut kept).map_err(failed)?;
        let mut begun = Self {
            file,
            part,
            log: path.to_owned(),
            cursor: Cursor::default(),
            bytes: 0,
            resumed: 0,
            loggers: Vec::new(),
        };
        begun.take_up(&kept);
        if begun.bytes == 0 && !kept.is_empty() {
            begun.bytes = kept.len() as u64;
            return Err(PullError::Foreign(begun.part.display().to_string()));
        }
        Ok(begun)
    }

    /// The whole frames at the start of what is kept.
    fn take_up(&mut self, kept: &[u8]) {
        for frame in kept.split_inclusive(|&b| b == 0) {
            let Some(content) = frame.strip_suffix(&[0]) else { break };
            let (Ok(record), Ok(check)) = (decode(content), check_of(content)) else { break };
            if let Ok(Record::Opened(opened)) = record {
                self.loggers.push(opened.logger);
            }
            self.cursor = Cursor { frames: self.cursor.frames + 1, check };
            self.bytes += frame.len() as u64;
        }
        self.resumed = self.cursor.frames;
    }

    /// Whether what is kept may be this logger's.
    ///
    /// # Errors
    /// [`PullError::Foreign`], when it is another's.
    pub fn belongs_to(&self, logger: u32) -> Result<(), PullError> {
        let foreign = self.loggers.iter().any(|l| *l != logger);
        if foreign { Err(PullError::Foreign(self.name())) } else { Ok(()) }
    }

    /// Fetches what is not there yet. `progress` hears the bytes so far.
    ///
    /// # Errors
    /// [`PullError`]; what came until then is kept for the next try.
    pub fn fetch<W: Read + Write>(
        &mut self,
        link: &mut Link<W>,
        status: &Status,
        mut progress: impl FnMut(u64),
    ) -> Result<(), PullError> {
        let name = self.name();
        let failed = |error| PullError::File { name: name.clone(), error };
        let most = MOST.min(u64::from(status.capacity) + MEANWHILE);
        // What a crash left behind the last whole frame goes.
        self.file.set_len(self.bytes).map_err(failed)?;
        self.file.seek(SeekFrom::Start(self.bytes)).map_err(failed)?;
        let Self { file, cursor, bytes, .. } = self;
        let read = link.read(cursor, |frame| {
            if *bytes + frame.len() as u64 > most {
                return Err(Stop::TooMuch);
            }
            file.write_all(frame).map_err(Stop::File)?;
            *bytes += frame.len() as u64;
            progress(*bytes);
            Ok(())
        });
        self.file.sync_all().map_err(failed)?;
        match read {
            Ok(()) => Ok(()),
            Err(Stop::File(error)) => Err(failed(error)),
            Err(Stop::TooMuch) => Err(PullError::TooMuch { bytes: most, part: name }),
            Err(Stop::Link(error)) => {
                Err(PullError::Broken { error, frames: self.cursor.frames, part: name })
            }
        }
    }

    /// All of it is there: it becomes the log.
    ///
    /// # Errors
    /// [`PullError`], when it is empty, or something else has taken its name.
    pub fn finish(self) -> Result<Pulled, PullError> {
        if self.cursor.frames == 0 {
            return Err(PullError::Empty);
        }
        let name = self.log.display().to_string();
        let failed = |error: io::Error| match error.kind() {
            io::ErrorKind::AlreadyExists => PullError::Exists { log: name.clone(), part: self.name() },
            _ => PullError::File { name: name.clone(), error },
        };
        let mut whole = TempPath::try_from_path(&self.part).map_err(failed)?;
        // It stays, whatever becomes of the new name.
        whole.disable_cleanup(true);
        rename(whole, &self.log, false).map_err(failed)?;
        Ok(Pulled { frames: self.cursor.frames, resumed: self.resumed, bytes: self.bytes })
    }

    fn name(&self) -> String {
        self.part.display().to_string()
    }
}

impl Drop for Part {
    /// One into which nothing came is not left behind.
    fn drop(&mut self) {
        if self.bytes == 0 {
            let _ = fs::remove_file(&self.part);
        }
    }
}

fn part_of(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".");
    name.push(PART);
    name.into()
}
