//! Writing to standard output (results) and to the error stream (everything said beside them).

use std::io::Write;

use super::outcome::Failure;
use crate::output::OutputError;
use crate::text::{plain, styled};

/// Prints text for people to standard output; styles are removed where that is no terminal. The text must have passed through
/// [`crate::text::harmless`] already.
pub(super) fn print(text: &str) -> Result<(), Failure> {
    hand_over(&styled(text))
}

/// Prints text for programs to standard output, as it is. A reader that has closed the pipe is no failure, and changes no exit code.
pub(super) fn hand_over(text: &str) -> Result<(), Failure> {
    let mut out = anstream::stdout();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(OutputError::Write { name: "standard output".into(), error }.into())
        }
        _ => Ok(()),
    }
}

/// Writes a line to the error stream. Control characters in it, from whatever source, are made harmless.
pub(super) fn say(text: &str) {
    let _ = writeln!(anstream::stderr(), "{}", plain(text));
}
