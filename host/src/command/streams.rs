//! What a command prints and says: standard output, and beside it the error stream.

use std::io::Write;

use super::outcome::Failure;
use crate::output::OutputError;
use crate::text::{plain, styled};

/// Prints a screen to standard output, styles taken out where it is no terminal. Text of others in it is harmless already.
pub(super) fn print(text: &str) -> Result<(), Failure> {
    hand_over(&styled(text))
}

/// Prints what a program reads, as it is. A reader that has seen enough and left is no failure, and changes no verdict.
pub(super) fn hand_over(text: &str) -> Result<(), Failure> {
    let mut out = anstream::stdout();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(OutputError::Write { name: "standard output".into(), error }.into())
        }
        _ => Ok(()),
    }
}

/// Says something beside the output proper, whoever's text is in it.
pub(super) fn say(text: &str) {
    let _ = writeln!(anstream::stderr(), "{}", plain(text));
}
