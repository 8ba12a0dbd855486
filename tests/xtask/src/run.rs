//! Other programs, shown before they run.

use std::env;
use std::ffi::OsString;
use std::process::Command;

/// The cargo that runs us.
pub fn cargo_path() -> OsString {
    env::var_os("CARGO").unwrap_or_else(|| "cargo".into())
}

/// A cargo command.
pub fn cargo(arguments: &[&str]) -> Command {
    let mut command = Command::new(cargo_path());
    command.args(arguments);
    command
}

/// Runs a command to its end.
pub fn run(command: &mut Command) -> Result<(), String> {
    let shown: Vec<_> = std::iter::once(command.get_program())
        .chain(command.get_args())
        .map(|word| word.to_string_lossy().into_owned())
        .collect();
    let shown = shown.join(" ");
    println!("+ {shown}");
    let status = command.status().map_err(|e| format!("{shown}: {e}"))?;
    if status.success() { Ok(()) } else { Err(format!("{shown} failed")) }
}
