//! Other programs, shown before they run.

use std::env;
use std::ffi::OsString;
use std::path::PathBuf;
use std::process::Command;
use std::sync::OnceLock;

use crate::folders::target;

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

/// How a program of ours is built.
#[derive(Clone, Copy)]
pub enum Build {
    /// As the tests are, which have built it already: soon.
    Test,
    /// At full speed, for what takes long or is itself measured.
    Full,
}

/// A program of ours: "tubtrace", "examples/score". All of them are built at once, and once: by itself each would be built with features
/// of its own.
pub fn ours(program: &str, build: Build) -> Result<Command, String> {
    static BUILT: [OnceLock<Result<(), String>>; 2] = [const { OnceLock::new() }; 2];
    let (profile, folder) = match build {
        Build::Test => ("test", "debug"),
        Build::Full => ("release", "release"),
    };
    BUILT[build as usize]
        .get_or_init(|| {
            run(&mut cargo(&["build", "--profile", profile, "--workspace", "--bins", "--examples"]))
        })
        .clone()?;
    let name = format!("{program}{}", env::consts::EXE_SUFFIX);
    Ok(Command::new(target().join(folder).join(PathBuf::from(name))))
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
