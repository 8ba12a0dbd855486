//! Writing: straight, or into a new file beside the output, which is synced and then renamed.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Seek, Write};
use std::path::{Path, PathBuf};

use tempfile::TempPath;

use super::error::OutputError;
use super::folder::{beside, parent};

/// What is made is held in memory up to so many bytes, and beyond in a file without a name: the file beside the output is there for no
/// longer than it takes to copy, so that hardly anybody is stopped while it is.
const IN_MEMORY: usize = 1 << 22;

/// Where an output goes, which was found to be allowed.
#[derive(Debug)]
pub enum Place {
    /// Standard output, which `-` names.
    Standard,
    /// A device or a pipe, which is written to as it is.
    Straight(PathBuf),
    /// A file: written under another name beside it, and given its own when it is whole.
    Beside {
        /// Path at which the file will stand.
        path: PathBuf,
        /// What the user calls it.
        name: String,
        /// Whether one that is there is written over.
        over: bool,
    },
}

impl Place {
    /// What the user calls it.
    #[must_use]
    pub fn name(&self) -> String {
        match self {
            Self::Standard => "standard output".into(),
            Self::Straight(path) => path.display().to_string(),
            Self::Beside { name, .. } => name.clone(),
        }
    }

    /// Writes bytes there.
    ///
    /// # Errors
    /// [`OutputError`]; what was there is then as it was.
    pub fn write_all(&self, bytes: &[u8]) -> Result<(), OutputError> {
        self.write(|out| out.write_all(bytes))
    }

    /// Has `write` write there.
    ///
    /// # Errors
    /// [`OutputError`], or what `write` gives; what was there is then as it was.
    pub fn write(
        &self,
        write: impl FnOnce(&mut (dyn Write + Send)) -> io::Result<()>,
    ) -> Result<(), OutputError> {
        match self {
            Self::Standard => through(io::stdout(), write).map_err(|e| self.failed(e)),
            Self::Straight(path) => straight(path, write).map_err(|e| self.failed(e)),
            Self::Beside { path, over, .. } => {
                let mut made = tempfile::spooled_tempfile(IN_MEMORY);
                through(&mut made, write).and_then(|()| made.rewind()).map_err(|e| self.failed(e))?;
                self.beside(path, *over, |file| io::copy(&mut made, file).map(drop))
            }
        }
    }

    /// Has `write` write a file in which it may go back, as a WAV's header wants it when its length is known. Where the place is a device, a pipe
    /// or standard output, a file without a name is written and then copied there.
    ///
    /// # Errors
    /// As [`Place::write`].
    pub fn write_file(&self, write: impl FnOnce(&mut File) -> io::Result<()>) -> Result<(), OutputError> {
        if let Self::Beside { path, over, .. } = self {
            return self.beside(path, *over, write);
        }
        let mut file = tempfile::tempfile().map_err(|e| self.failed(e))?;
        write(&mut file).and_then(|()| file.rewind()).map_err(|e| self.failed(e))?;
        let copy = |out: &mut (dyn Write + Send)| io::copy(&mut file, out).map(drop);
        match self {
            Self::Straight(path) => straight(path, copy),
            _ => through(io::stdout(), copy),
        }
        .map_err(|e| self.failed(e))
    }

    fn beside(
        &self,
        path: &Path,
        over: bool,
        write: impl FnOnce(&mut File) -> io::Result<()>,
    ) -> Result<(), OutputError> {
        let written = || {
            fs::create_dir_all(parent(path))?;
            let mut file = beside(parent(path), path.file_name())?;
            write(file.as_file_mut())?;
            if let Ok(old) = path.metadata() {
                file.as_file().set_permissions(old.permissions())?;
            }
            file.as_file().sync_all()?;
            Ok(file.into_temp_path())
        };
        let file = written().map_err(|e| self.failed(e))?;
        rename(file, path, over).map_err(|error| match error.kind() {
            io::ErrorKind::AlreadyExists => OutputError::Exists(self.name()),
            _ => self.failed(error),
        })
    }

    fn failed(&self, error: io::Error) -> OutputError {
        OutputError::Write { name: self.name(), error }
    }
}

/// Writes a device or a pipe.
fn straight(path: &Path, write: impl FnOnce(&mut (dyn Write + Send)) -> io::Result<()>) -> io::Result<()> {
    through(OpenOptions::new().write(true).open(path)?, write)
}

/// Writes in large pieces.
fn through(
    out: impl Write + Send,
    write: impl FnOnce(&mut (dyn Write + Send)) -> io::Result<()>,
) -> io::Result<()> {
    let mut out = io::BufWriter::with_capacity(1 << 16, out);
    write(&mut out).and_then(|()| out.flush())
}

/// Gives a synced file its name. Where `over` is not said and somebody made one of that name meanwhile, theirs stays; a disk that cannot
/// tell (a FAT stick on some systems, a share) is asked just before.
///
/// # Errors
/// Why not: [`io::ErrorKind::AlreadyExists`] when it is theirs.
pub(crate) fn rename(file: TempPath, path: &Path, over: bool) -> io::Result<()> {
    if over {
        file.persist(path)?;
    } else if let Err(refused) = file.persist_noclobber(path) {
        if refused.error.kind() == io::ErrorKind::AlreadyExists {
            return Err(refused.error);
        }
        if path.symlink_metadata().is_ok() {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        refused.path.persist(path)?;
    }
    sync_folder(path);
    Ok(())
}

/// The name itself outlives a power cut. Not every system lets a folder be synced, and the file is there all the same.
fn sync_folder(path: &Path) {
    if cfg!(unix)
        && let Ok(folder) = File::open(parent(path))
    {
        let _ = folder.sync_all();
    }
}
