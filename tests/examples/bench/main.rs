//! What the bench says of controls that are well and of controls that are not: `cargo xtask bench [--limits] [--seeds A..B] [--keep FOLDER]`.
//!
//! With `--limits` a slice of it, which fails where a figure is outside of what it must be. With `--keep` the runs of one control whose fault comes in one of
//! eight runs, before and after its repair, with plan and machine file, to try the command on.

mod controls;
mod numbers;

use std::path::PathBuf;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let after = |name: &str| arguments.iter().position(|a| a == name).and_then(|at| arguments.get(at + 1));
    if let Some(folder) = after("--keep") {
        return match controls::keep(&PathBuf::from(folder)) {
            Ok(()) => ExitCode::SUCCESS,
            Err(told) => {
                eprintln!("{told}");
                ExitCode::FAILURE
            }
        };
    }
    let slice = arguments.iter().any(|a| a == "--limits");
    let seeds = match after("--seeds").map(|range| range.split_once("..")) {
        None => 1..if slice { 2 } else { 13 },
        Some(Some((from, to))) => match (from.parse(), to.parse()) {
            (Ok(from), Ok(to)) => from..to,
            _ => return usage(),
        },
        Some(None) => return usage(),
    };
    let mut well = numbers::print(slice);
    well &= controls::print(seeds);
    well &= controls::speed();
    if well { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn usage() -> ExitCode {
    eprintln!("--seeds A..B: from the first to before the last");
    ExitCode::FAILURE
}
