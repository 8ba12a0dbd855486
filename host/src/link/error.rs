//! What goes wrong between host and logger, in words.

use std::io;

use tubtrace_protocol::Refusal;

/// What went wrong between host and logger.
#[derive(Debug, thiserror::Error)]
pub enum LinkError {
    /// Reading from the connection or writing to it failed.
    #[error("the connection to the logger broke ({0}); check the cable and try again")]
    Wire(#[from] io::Error),
    /// No answer came for as long as one is waited for.
    #[error("the logger does not answer; unplug it, plug it in again and try once more")]
    Silent,
    /// The logger kept answering that it is still at work, for longer than any work takes.
    #[error(
        "the logger says that it is still at work, for longer than any work takes; unplug it, plug it in again and try once more"
    )]
    Endless,
    /// The log comes more slowly than over the slowest line that is allowed for.
    #[error(
        "the logger sends hardly anything; check the cable or the bridge, plug it in again and try once more"
    )]
    Slow,
    /// The logger gave an answer that does not belong to the request.
    #[error(
        "the logger answered something that was not asked; its firmware and this program may be too far apart"
    )]
    Confused,
    /// The logger refused the request, and says why.
    #[error("{}", refusal(*.0))]
    Refused(Refusal),
}

/// A refusal in words, with what to do about it where something can be done.
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
