//! Other programs, shown before they run.

use std::env;
use std::ffi::OsString;
use std::path::PathBuf;
use std::process::Command;
use std::sync::OnceLock;

use crate::board::target;

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

/// A program of ours at full speed: "tubtrace", "examples/score". All of them are built at once, and once: by itself each would be built
/// with features of its own.
pub fn ours(program: &str) -> Result<Command, String> {
    static BUILT: OnceLock<Result<(), String>> = OnceLock::new();
    BUILT
        .get_or_init(|| run(&mut cargo(&["build", "--release", "--workspace", "--bins", "--examples"])))
        .clone()?;
    let name = format!("{program}{}", env::consts::EXE_SUFFIX);
    Ok(Command::new(target().join("release").join(PathBuf::from(name))))
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
