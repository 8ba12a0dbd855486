//! Where every file is written: never over one that is read, never over one that is there unless told to, whole or not at all.
//!
//! Whether an output may be written is asked before the work ([`Rules::place`]) and written after it ([`Place::write`]): into a new
//! file beside it, synced, then renamed. Whoever is killed meanwhile leaves what was there, and at worst that new file, whose name begins
//! with a dot. Standard output, devices and pipes are written straight. What grows for hours is no such file: see [`Growing`].

mod growing;
mod identity;
mod place;

use std::io;
use std::path::Path;

use tempfile::NamedTempFile;

pub use growing::{Growing, free};
pub use identity::is_same;
use identity::{is_device, is_standard_output};
pub use place::Place;
use place::beside;
pub(crate) use place::rename;

/// Why something is not written.
#[derive(Debug, thiserror::Error)]
pub enum OutputError {
    /// It is an input of the same command.
    #[error("{0} is read here too, and what is read is never written over; give the output another name")]
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
        /// The output, as the user named it.
        name: String,
        /// The folder that is not there.
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
        /// The output, as the user named it.
        name: String,
        /// What the system said.
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

/// The folder that a file is in.
fn parent(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

fn is_dash(path: &Path) -> bool {
    path == Path::new("-")
}
