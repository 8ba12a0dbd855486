//! The folder that an output goes into.

use std::ffi::OsStr;
use std::io;
use std::path::Path;

use tempfile::NamedTempFile;

use super::error::OutputError;

/// A folder that a file can be made in, or the nearest that is there; tried by making one.
pub(super) fn folder_of(path: &Path, name: &str, make: bool) -> Result<(), OutputError> {
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
pub(super) fn parent(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// A new file for what will be called `name`, that goes when it is dropped. Whoever may read what another program makes may read it.
pub(super) fn beside(folder: &Path, name: Option<&OsStr>) -> io::Result<NamedTempFile> {
    let mut prefix = std::ffi::OsString::from(".");
    prefix.push(name.unwrap_or_default());
    prefix.push(".");
    let mut builder = tempfile::Builder::new();
    builder.prefix(&prefix);
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder.tempfile_in(folder)
}
