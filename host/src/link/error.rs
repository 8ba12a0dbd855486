//! What goes wrong between host and logger, in words.

use std::io;

use tubtrace_protocol::Refusal;

/// What went wrong between host and logger.
#[derive(Debug, thiserror::Error)]
pub enum LinkError {
    /// The wire broke.
    #[error("the connection to the logger broke ({0}); check the cable and try again")]
    Wire(#[from] io::Error),
    /// Nothing came.
    #[error("the logger does not answer; unplug it, plug it in again and try once more")]
    Silent,
    /// It says for too long that it works.
    #[error(
        "the logger says that it is still at work, for longer than any work takes; unplug it, plug it in again and try once more"
    )]
    Endless,
    /// Its log comes more slowly than over any line.
    #[error(
        "the logger sends hardly anything; check the cable or the bridge, plug it in again and try once more"
    )]
    Slow,
    /// It answered something that was not asked.
    #[error(
        "the logger answered something that was not asked; its firmware and this program may be too far apart"
    )]
    Confused,
    /// It would not.
    #[error("{}", refusal(*.0))]
    Refused(Refusal),
}

/// Why not, and what to do.
fn refusal(refusal: Refusal) -> &'static str {
    match refusal {
        Refusal::Recording => "the logger is recording; end that with `tubtrace pull --stop` first",
        Refusal::NotRecording => "the logger is not recording",
        Refusal::NotEmpty => {
            "the logger still holds a log; fetch it with `tubtrace pull`, then arm with --erase"
        }
        Refusal::OtherLog => {
            "the logger holds another log than the one begun here; give a new file name to start afresh"
        }
        Refusal::Token => "what the logger holds has changed meanwhile; look again",
        Refusal::Calibration => "the logger cannot use that clamp calibration; the scale must be near 1",
        Refusal::Flash => "the logger's flash memory does not work; it cannot record",
        Refusal::Malformed => "a request was damaged on the way; try again, or use another cable",
    }
}
