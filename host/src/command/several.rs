//! Several logs in one command.

use std::path::{Path, PathBuf};

use super::outcome::{Done, Failure};
use super::streams::{print, say};

/// Does the same for each log, in the order in which they were given, and ends as the worst of them. One that cannot be read is told and
/// keeps no other from being done.
pub(super) fn each(
    logs: &[PathBuf],
    json: bool,
    mut of: impl FnMut(&Path) -> Result<Done, Failure>,
) -> Result<Done, Failure> {
    if let [log] = logs {
        return of(log);
    }
    let (mut worst, mut failed) = (Done::Well, 0);
    for (i, log) in logs.iter().enumerate() {
        if !json {
            print(&format!(
                "{}== {} ==\n\n",
                if i == 0 { "" } else { "\n" },
                crate::text::harmless(&log.display().to_string())
            ))?;
        }
        match of(log) {
            Ok(done) => worst = worst.max(done),
            // Nobody reads on.
            Err(Failure::Output(error)) => return Err(Failure::Output(error)),
            Err(failure) => {
                say(&format!("tubtrace: {failure}"));
                failed += 1;
            }
        }
    }
    if failed > 0 {
        return Err(Failure::Other(format!("{failed} of {} logs could not be read or judged", logs.len())));
    }
    Ok(worst)
}
