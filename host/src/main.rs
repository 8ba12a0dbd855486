//! The `tubtrace` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    tubtrace::command::run()
}
