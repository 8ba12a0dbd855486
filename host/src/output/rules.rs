//! Whether an output may be written, asked before the work.

use std::io;
use std::path::Path;

use super::error::OutputError;
use super::folder::folder_of;
use super::identity::{self, is_dash, is_device, is_same, is_standard_output};
use super::place::Place;

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
