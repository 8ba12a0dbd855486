//! Where every file is written: never over one that is read, never over one that is there unless told to, whole or not at all.
//!
//! Whether an output may be written is asked before the work ([`Rules::place`]) and written after it ([`Place::write`]): into a new
//! file beside it, synced, then renamed. Whoever is killed meanwhile leaves what was there, and at worst that new file, whose name begins
//! with a dot. Standard output, devices and pipes are written straight. What grows for hours is no such file: see [`Growing`].

mod growing;
mod identity;

use std::ffi::OsStr;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Seek, Write};
use std::path::{Path, PathBuf};

use tempfile::{NamedTempFile, TempPath};

pub use growing::{Growing, free};
pub use identity::is_same;
use identity::{is_device, is_standard_output};

/// What is made is held in memory up to so many bytes, and beyond in a file without a name: the file beside the output is there for no
/// longer than it takes to copy, so that hardly anybody is stopped while it is.
const IN_MEMORY: usize = 1 << 26;

/// Why something is not written.
#[derive(Debug, thiserror::Error)]
pub enum OutputError {
    /// It is an input of the same command.
    #[error("{0} is read here too, and would be gone before it is; give the output another name")]
    Input(String),
    /// It is there.
    #[error("{0} is there already; give another name, or --force to write over it")]
    Exists(String),
    /// It is there, and is never written over.
    #[error("{0} is there already; give another name, or move it away")]
    Kept(String),
    /// It is a folder.
    #[error("{0} is a folder; name a file in it")]
    Folder(String),
    /// A file stands where a folder should.
    #[error("{0} is a file; name a folder")]
    NoFolder(String),
    /// The folder that it should go into is not there.
    #[error("cannot write {name}: there is no folder {folder}; make it first")]
    NoParent {
        /// The output.
        name: String,
        /// Its folder.
        folder: String,
    },
    /// Standard input is named twice.
    #[error("- is standard input, which can be read only once; name a file for the other")]
    Twice,
    /// A log that grows has to be a file.
    #[error("- is standard output, in which a log cannot be kept; name a file")]
    Stream,
    /// The system does not let it be written.
    #[error("cannot write {name}: {error}")]
    Write {
        /// The output.
        name: String,
        /// Why.
        error: io::Error,
    },
}

/// What a command reads, and whether it may write over what is there.
#[derive(Clone, Copy, Debug)]
pub struct Rules<'a> {
    inputs: &'a [&'a Path],
    force: bool,
}

impl<'a> Rules<'a> {
    /// Those of a command that reads `inputs`, where `-` is standard input.
    ///
    /// # Errors
    /// When standard input is to be read twice.
    pub fn new(inputs: &'a [&'a Path], force: bool) -> Result<Self, OutputError> {
        let twice = inputs.iter().filter(|p| is_dash(p)).count() > 1;
        if twice { Err(OutputError::Twice) } else { Ok(Self { inputs, force }) }
    }

    /// The place of an output, if it may be written; `-` is standard output.
    ///
    /// # Errors
    /// [`OutputError`]
    pub fn place(&self, path: &Path) -> Result<Place, OutputError> {
        self.in_folder(path, false)
    }

    /// The same, where folders on the way to it that are not there are made when it is written.
    ///
    /// # Errors
    /// [`OutputError`]
    pub fn place_below(&self, path: &Path) -> Result<Place, OutputError> {
        self.in_folder(path, true)
    }

    fn in_folder(&self, path: &Path, make: bool) -> Result<Place, OutputError> {
        let name = path.display().to_string();
        if is_dash(path) || is_standard_output(path) {
            let read = self.inputs.iter().any(|input| identity::is_input_of_stdout(input));
            return if read { Err(OutputError::Input(name)) } else { Ok(Place::Standard) };
        }
        if is_device(path) {
            return Ok(Place::Straight(path.to_owned()));
        }
        let failed = |error| OutputError::Write { name: name.clone(), error };
        match path.metadata() {
            Ok(there) if there.is_dir() => return Err(OutputError::Folder(name)),
            Ok(_) if self.inputs.iter().any(|input| is_same(input, path)) => {
                return Err(OutputError::Input(name));
            }
            Ok(_) if !self.force => return Err(OutputError::Exists(name)),
            Ok(there) if there.permissions().readonly() => {
                return Err(failed(io::Error::new(
                    io::ErrorKind::PermissionDenied,
                    "it is protected against writing",
                )));
            }
            // A link stays one: what it leads to is written.
            Ok(_) => {
                let path = path.canonicalize().map_err(failed)?;
                folder_of(&path, &name, false)?;
                return Ok(Place::Beside { path, name, over: true });
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) if error.kind() == io::ErrorKind::NotADirectory => {
                return Err(OutputError::NoFolder(path.parent().unwrap_or(path).display().to_string()));
            }
            Err(error) => return Err(failed(error)),
        }
        // A link that leads nowhere.
        if path.symlink_metadata().is_ok() && !self.force {
            return Err(OutputError::Exists(name));
        }
        folder_of(path, &name, make)?;
        Ok(Place::Beside { path: path.to_owned(), name, over: self.force })
    }
}

/// A folder that a file can be made in, or the nearest that is there; tried by making one.
fn folder_of(path: &Path, name: &str, make: bool) -> Result<(), OutputError> {
    let mut folder = parent(path);
    while make && !folder.exists() && folder != Path::new(".") {
        folder = parent(folder);
    }
    match folder.metadata() {
        Ok(there) if there.is_dir() => {}
        Ok(_) => return Err(OutputError::NoFolder(folder.display().to_string())),
        Err(_) => {
            let folder = folder.display().to_string();
            return Err(OutputError::NoParent { name: name.to_owned(), folder });
        }
    }
    let failed = |error| OutputError::Write { name: name.to_owned(), error };
    beside(folder, path.file_name()).and_then(NamedTempFile::close).map_err(failed)
}

/// Where an output goes, which was found to be allowed.
#[derive(Debug)]
pub enum Place {
    /// Standard output.
    Standard,
    /// A device or a pipe.
    Straight(PathBuf),
    /// A file, through a new one beside it.
    Beside {
        /// Where.
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

    /// The same for what goes back in its file; where the place is none, it takes the way through one.
    ///
    /// # Errors
    /// Likewise.
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

/// A new file for what will be called `name`, that goes when it is dropped. Whoever may read what another program makes may read it.
fn beside(folder: &Path, name: Option<&OsStr>) -> io::Result<NamedTempFile> {
    let mut prefix = std::ffi::OsString::from(".");
    prefix.push(name.unwrap_or_default());
    prefix.push(".");
    let mut builder = tempfile::Builder::new();
    builder.prefix(&prefix);
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder.tempfile_in(folder)
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

/// The folder that a file is in.
fn parent(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

fn is_dash(path: &Path) -> bool {
    path == Path::new("-")
}
