//! Which file a name leads to: names differ by case, links and detours, and the file is the same.

use std::path::Path;

use same_file::Handle;

/// Whether an input, where `-` is standard input, is the file at `path`. What cannot be opened is told by whoever reads it.
#[must_use]
pub fn is_same(input: &Path, path: &Path) -> bool {
    let Ok(output) = Handle::from_path(path) else { return false };
    of_input(input).is_some_and(|input| input == output)
}

/// Whether standard output is a file, and this input the same one. A terminal or a pipe may well be both.
pub(super) fn is_input_of_stdout(input: &Path) -> bool {
    let Ok(output) = Handle::stdout() else { return false };
    let is_file = output.as_file().metadata().is_ok_and(|m| m.is_file());
    is_file && of_input(input).is_some_and(|input| input == output)
}

/// Whether a name that is no `-` leads to where standard output goes: `/dev/stdout`.
pub(super) fn is_standard_output(path: &Path) -> bool {
    // Not by what it leads to: `night.html` may be given, and standard output lead there.
    cfg!(unix) && (path == Path::new("/dev/stdout") || path == Path::new("/dev/fd/1"))
}

/// Whether something is neither file nor folder: a terminal, a pipe, a socket.
pub(super) fn is_device(path: &Path) -> bool {
    if cfg!(windows) {
        // What the names of these mean, Windows decides by the name alone.
        let text = path.to_string_lossy().to_ascii_uppercase();
        return text.starts_with(r"\\.\") || matches!(text.as_str(), "NUL" | "CON" | "CONOUT$");
    }
    path.metadata().is_ok_and(|m| !m.is_file() && !m.is_dir())
}

/// Opening a pipe with a name would wait, and then break it: only files are opened.
fn of_input(input: &Path) -> Option<Handle> {
    if input == Path::new("-") {
        return Handle::stdin().ok();
    }
    input.is_file().then(|| Handle::from_path(input).ok()).flatten()
}

/// Whether it names a standard stream and not a file.
pub(super) fn is_dash(path: &Path) -> bool {
    path == Path::new("-")
}
