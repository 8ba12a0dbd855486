//! `tubtrace pull`.

use std::path::PathBuf;

use clap::Args;
use tubtrace_protocol::{Request, State};

use super::logger::{Which, clock, describe};
use super::progress::bar;
use super::{Done, Failure, say};
use crate::link::pull;

/// Fetches the record of the logger that is plugged in. Nothing is erased on it.
///
/// If the cable comes out on the way, the same command goes on where it was. The logger's clock is compared with this
/// computer's, so that its drift can be taken out.
#[derive(Args)]
#[command(
    after_help = "Example:\n  tubtrace pull -o flat3.tub\n  tubtrace pull -o flat3.tub --stop      ends the record first\n\nA computer on the mains is a path to the mains: take the clamp off, or run the computer from its battery, before the cable goes in."
)]
pub(super) struct Pull {
    /// Where the log goes.
    #[arg(short, long, value_name = "LOG.tub")]
    output: PathBuf,
    /// End the record; otherwise the logger goes on recording.
    #[arg(long)]
    stop: bool,
    #[command(flatten)]
    which: Which,
}

impl Pull {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let mut link = self.which.connect()?;
        let status = link.status()?;
        let identity = link.identity().clone();
        say(&describe(identity.logger, &identity.firmware, &status));
        if status.state == State::Recording {
            link.order(&Request::Anchor(clock()))?;
            if self.stop {
                link.order(&Request::Stop)?;
            }
        }
        let bar = bar(status.used.into(), "{bar:30} {bytes} of about {total_bytes}, {eta} left");
        let pulled = pull(&mut link, &self.output, |bytes| bar.set_position(bytes));
        bar.finish_and_clear();
        let pulled = pulled?;
        let resumed = if pulled.resumed > 0 {
            format!(", {} of them from an earlier try", pulled.resumed)
        } else {
            String::new()
        };
        say(&format!(
            "{}: {} bytes, {} records{resumed}.",
            self.output.display(),
            pulled.bytes,
            pulled.frames
        ));
        Ok(Done::Well)
    }
}
