//! `cargo xtask test | lint | ci`: everything that is more than one command.

use std::env;
use std::ffi::OsString;
use std::process::{Command, ExitCode};

const HELP: &str = "\
cargo xtask test    every test, and the firmware for its own processor
cargo xtask lint    format, clippy with warnings denied, licences
cargo xtask ci      both, and the demo";

/// The processor of the board.
const BOARD: &str = "thumbv6m-none-eabi";

fn main() -> ExitCode {
    let task = env::args().nth(1);
    let done = match task.as_deref() {
        Some("test") => test(),
        Some("lint") => lint(),
        Some("ci") => lint().and_then(|()| test()).and_then(|()| demo()),
        _ => {
            eprintln!("{HELP}");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(what) => {
            eprintln!("xtask: {what}");
            ExitCode::FAILURE
        }
    }
}

/// Fetches what it needs: the processor's standard library, if rustup is there to bring it.
fn test() -> Result<(), String> {
    cargo(&["test", "--workspace"])?;
    fetch_board_target()?;
    cargo(&[
        "build",
        "--release",
        "--target",
        BOARD,
        "-p",
        "tubtrace-protocol",
        "-p",
        "tubtrace-core",
        "-p",
        "tubtrace-rp2040",
    ])
}

fn lint() -> Result<(), String> {
    cargo(&["fmt", "--all", "--check"])?;
    cargo(&["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"])?;
    fetch_board_target()?;
    cargo(&["clippy", "--target", BOARD, "-p", "tubtrace-rp2040", "--", "-D", "warnings"])?;
    let quiet = |command: &mut Command| command.output().is_ok_and(|o| o.status.success());
    if quiet(Command::new(cargo_path()).args(["deny", "--version"])) {
        cargo(&["deny", "--all-features", "check", "licenses", "bans", "sources"])
    } else {
        println!("skipped: licences, for cargo-deny is not installed (cargo install cargo-deny --locked)");
        Ok(())
    }
}

fn demo() -> Result<(), String> {
    cargo(&["run", "--release", "--", "demo"])
}

fn fetch_board_target() -> Result<(), String> {
    if has_board_target() { Ok(()) } else { run("rustup", &["target", "add", BOARD]) }
}

fn has_board_target() -> bool {
    let rustc = env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let sysroot = Command::new(rustc).args(["--print", "target-libdir", "--target", BOARD]).output();
    sysroot.is_ok_and(|o| {
        let folder = String::from_utf8_lossy(&o.stdout).trim().to_owned();
        std::fs::read_dir(folder).is_ok_and(|mut files| files.next().is_some())
    })
}

fn cargo_path() -> OsString {
    env::var_os("CARGO").unwrap_or_else(|| "cargo".into())
}

fn cargo(arguments: &[&str]) -> Result<(), String> {
    run(&cargo_path().to_string_lossy(), arguments)
}

fn run(program: &str, arguments: &[&str]) -> Result<(), String> {
    println!("+ {program} {}", arguments.join(" "));
    let status = Command::new(program).args(arguments).status().map_err(|e| format!("{program}: {e}"))?;
    if status.success() { Ok(()) } else { Err(format!("{program} {} failed", arguments.join(" "))) }
}
