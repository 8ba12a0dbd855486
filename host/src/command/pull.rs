//! `tubtrace pull`.

use std::io::{Read, Write};
use std::path::PathBuf;

use clap::Args;
use tubtrace_protocol::{Refusal, Request, State};

use super::about_job::AboutJob;
use super::logger::{Which, clock, describe};
use super::outcome::{Done, Failure};
use super::progress::bar;
use super::streams::say;
use crate::link::{Link, LinkError, Part, PullError};

/// Fetches the record of the logger that is plugged in. Nothing is erased on it.
///
/// If the cable comes out on the way, the same command goes on where it was. A recording ends only when all of it until then is here. The logger's clock is compared with this
/// computer's, so that its drift can be taken out.
#[derive(Args)]
#[command(
    after_help = "Example:\n  tubtrace pull -o flat3.tub\n  tubtrace pull -o flat3.tub --stop      ends the record first\n\nA mains-powered computer defeats the isolation: take the clamp off, or run the computer from its battery, before the cable goes in."
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
    #[command(flatten)]
    job: AboutJob,
}

impl Pull {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let mut part = Part::begin(&self.output)?;
        let job = self.job.beside(&self.output)?;
        let mut link = self.which.connect()?;
        let status = link.status()?;
        let identity = link.identity().clone();
        say(&describe(identity.logger, &identity.firmware, &status));
        part.belongs_to(identity.logger)?;
        let recording = status.state == State::Recording;
        if recording {
            link.order(&Request::Anchor(clock()))?;
        }
        let bar = bar(status.used.into(), "{bar:30} {bytes} of about {total_bytes}, {eta} left");
        let mut fetched =
            part.fetch(&mut link, &status, |bytes| bar.set_position(bytes)).map_err(Failure::from);
        if recording && self.stop && fetched.is_ok() {
            fetched = stop(&mut link).and_then(|()| {
                part.fetch(&mut link, &status, |bytes| bar.set_position(bytes)).map_err(stopped)
            });
        }
        bar.finish_and_clear();
        fetched?;
        let pulled = part.finish().map_err(|e| if recording && self.stop { stopped(e) } else { e.into() })?;
        if let Some((place, job)) = job {
            place.write_all(job.to_toml().as_bytes())?;
        }
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

/// Ends the recording. One that has just ended by itself, because the memory is full, is no failure.
fn stop<W: Read + Write>(link: &mut Link<W>) -> Result<(), Failure> {
    match link.order(&Request::Stop) {
        Err(LinkError::Refused(Refusal::NotRecording)) => Ok(()),
        done => Ok(done?),
    }
}

/// The failure of a fetch after the recording was ended: says that nothing is lost.
fn stopped(error: PullError) -> Failure {
    Failure::Other(format!("{error}. The recording has ended; all of it is still on the logger"))
}
