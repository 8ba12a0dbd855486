//! The board's image, and the emulator that runs it.

use std::env;
use std::path::PathBuf;
use std::process::Command;

use crate::folders::{root, target};
use crate::run::{cargo, run};

/// The processor of the board.
pub const TARGET: &str = "thumbv6m-none-eabi";

/// Builds the image; gives where it is.
pub fn image() -> Result<PathBuf, String> {
    fetch_target()?;
    run(&mut cargo(&["build", "--profile", "board", "--target", TARGET, "--package", "tubtrace-rp2040"]))?;
    Ok(target().join(TARGET).join("board").join("tubtrace-rp2040"))
}

/// Runs `command` with the image in its environment. Without Node there is no emulator: then without, and said so.
pub fn with_emulator(mut command: Command) -> Result<(), String> {
    let image = image()?;
    let folder = root().join("tests").join("emulator");
    let node = Command::new("node").arg("--version").output().is_ok_and(|o| o.status.success());
    if node {
        run(Command::new(npm()).args(["ci", "--no-audit", "--no-fund"]).current_dir(&folder))?;
        run(Command::new("node").args(["--test", "--test-reporter=dot", "test/"]).current_dir(&folder))?;
        command.env("TUBTRACE_IMAGE", image);
    } else {
        println!("skipped: the board in its emulator, for Node is not installed (version 20 or later)");
    }
    run(&mut command)
}

/// Brings the processor's standard library.
pub fn fetch_target() -> Result<(), String> {
    if has_target() { Ok(()) } else { run(Command::new("rustup").args(["target", "add", TARGET])) }
}

fn has_target() -> bool {
    let rustc = env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let sysroot = Command::new(rustc).args(["--print", "target-libdir", "--target", TARGET]).output();
    sysroot.is_ok_and(|o| {
        let folder = String::from_utf8_lossy(&o.stdout).trim().to_owned();
        std::fs::read_dir(folder).is_ok_and(|mut files| files.next().is_some())
    })
}

/// On Windows npm is a script, which only its own name starts.
pub const fn npm() -> &'static str {
    if cfg!(windows) { "npm.cmd" } else { "npm" }
}
