//! The link to a logger: requests over a wire, replies and frames of its log back.

mod port;
mod pull;

use std::io::{self, Read, Write};
use std::time::{Duration, Instant};

use tubtrace_protocol::{
    Cursor, Identity, MAX_FRAME, Refusal, Reply, Request, Status, decode_reply, encode_request,
};

pub use port::{PortError, Wire, open};
pub use pull::{PullError, Pulled, pull};

/// A logger answers within milliseconds; a chip that erases keeps it for 0.4 s.
const PATIENCE: Duration = Duration::from_secs(5);

/// While it erases, it says so once a second.
const WORKING_PATIENCE: Duration = Duration::from_secs(20);

/// What went wrong between host and logger.
#[derive(Debug, thiserror::Error)]
pub enum LinkError {
    /// The wire broke.
    #[error("the connection to the logger broke ({0}); check the cable and try again")]
    Wire(#[from] io::Error),
    /// Nothing came.
    #[error("the logger does not answer; unplug it, plug it in again and try once more")]
    Silent,
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

/// What came over the wire.
#[derive(Debug)]
enum Heard {
    Reply(Reply),
    /// A frame of a log, closing zero included.
    Frame(Vec<u8>),
    /// Bytes that are neither.
    Noise,
}

/// A conversation with one logger.
pub struct Link<W> {
    wire: W,
    /// Bytes that came and are not yet looked at.
    waiting: Vec<u8>,
    identity: Identity,
}

impl<W: Read + Write> Link<W> {
    /// Says hello. `nonce` is any number; what comes before it comes back belongs to an earlier conversation.
    ///
    /// # Errors
    /// [`LinkError`]
    pub fn begin(wire: W, nonce: u32) -> Result<Self, LinkError> {
        let nobody = Identity { nonce, version: 0, logger: 0, firmware: Default::default() };
        let mut link = Self { wire, waiting: Vec::new(), identity: nobody };
        link.wire.write_all(&[0])?;
        link.send(&Request::Hello { nonce })?;
        let deadline = Instant::now() + PATIENCE;
        loop {
            match link.hear(deadline)? {
                Heard::Reply(Reply::Hello(identity)) if identity.nonce == nonce => {
                    link.identity = identity;
                    return Ok(link);
                }
                _ => {}
            }
        }
    }

    /// Who the logger is.
    pub const fn identity(&self) -> &Identity {
        &self.identity
    }

    /// How it is.
    ///
    /// # Errors
    /// [`LinkError`]
    pub fn status(&mut self) -> Result<Status, LinkError> {
        match self.ask(&Request::Status)? {
            Reply::Status(status) => Ok(status),
            _ => Err(LinkError::Confused),
        }
    }

    /// Asks for something to be done.
    ///
    /// # Errors
    /// [`LinkError`]
    pub fn order(&mut self, request: &Request) -> Result<(), LinkError> {
        match self.ask(request)? {
            Reply::Done => Ok(()),
            Reply::Refused(refusal) => Err(LinkError::Refused(refusal)),
            _ => Err(LinkError::Confused),
        }
    }

    /// Asks, and waits for the answer.
    ///
    /// # Errors
    /// [`LinkError`]
    pub fn ask(&mut self, request: &Request) -> Result<Reply, LinkError> {
        self.send(request)?;
        let mut deadline = Instant::now() + PATIENCE;
        loop {
            match self.hear(deadline)? {
                Heard::Reply(Reply::Working { .. }) => deadline = Instant::now() + WORKING_PATIENCE,
                // Windows may still be on their way when they are no longer wanted.
                Heard::Reply(Reply::Live(_)) | Heard::Frame(_) | Heard::Noise => {}
                Heard::Reply(reply) => return Ok(reply),
            }
        }
    }

    /// The next window of a live view.
    ///
    /// # Errors
    /// [`LinkError`]
    pub fn live(&mut self) -> Result<tubtrace_protocol::Live, LinkError> {
        let deadline = Instant::now() + PATIENCE;
        loop {
            if let Heard::Reply(Reply::Live(live)) = self.hear(deadline)? {
                return Ok(live);
            }
        }
    }

    /// Reads the log after `cursor`, frame by frame. Damage on the wire ends it as a broken wire does: the frames
    /// before it are good, and the cursor says where to go on.
    ///
    /// # Errors
    /// [`LinkError`], or what `frame` gives.
    pub fn read<E: From<LinkError>>(
        &mut self,
        cursor: &mut Cursor,
        mut frame: impl FnMut(&[u8]) -> Result<(), E>,
    ) -> Result<(), E> {
        self.send(&Request::Read(*cursor))?;
        loop {
            match self.hear(Instant::now() + PATIENCE)? {
                Heard::Frame(bytes) => {
                    frame(&bytes)?;
                    let check = bytes.strip_suffix(&[0]).and_then(|f| tubtrace_protocol::check_of(f).ok());
                    *cursor = Cursor { frames: cursor.frames + 1, check: check.unwrap_or(0) };
                }
                Heard::Reply(Reply::End { cursor: end }) if end == *cursor => return Ok(()),
                Heard::Reply(Reply::Refused(refusal)) => return Err(LinkError::Refused(refusal).into()),
                Heard::Reply(Reply::Live(_) | Reply::Working { .. }) => {}
                Heard::Reply(_) => return Err(LinkError::Confused.into()),
                Heard::Noise => {
                    let error = io::Error::new(io::ErrorKind::InvalidData, "damaged on the way");
                    return Err(LinkError::Wire(error).into());
                }
            }
        }
    }

    fn send(&mut self, request: &Request) -> Result<(), LinkError> {
        let mut buffer = [0; MAX_FRAME];
        // A request is far shorter than the longest frame.
        let frame = encode_request(request, &mut buffer).map_err(|_| LinkError::Confused)?;
        self.wire.write_all(frame)?;
        Ok(self.wire.flush()?)
    }

    fn hear(&mut self, deadline: Instant) -> Result<Heard, LinkError> {
        loop {
            if let Some(end) = self.waiting.iter().position(|&b| b == 0) {
                let bytes: Vec<u8> = self.waiting.drain(..=end).collect();
                if end > 0 {
                    return Ok(sort(bytes));
                }
                continue;
            }
            if self.waiting.len() > 4 * MAX_FRAME {
                self.waiting.clear();
                return Ok(Heard::Noise);
            }
            let mut piece = [0; 4_096];
            match self.wire.read(&mut piece) {
                Ok(0) => return Err(io::Error::from(io::ErrorKind::UnexpectedEof).into()),
                Ok(length) => self.waiting.extend_from_slice(&piece[..length]),
                Err(error) if is_timeout(&error) => {}
                Err(error) => return Err(error.into()),
            }
            if Instant::now() > deadline {
                return Err(LinkError::Silent);
            }
        }
    }
}

fn sort(bytes: Vec<u8>) -> Heard {
    match decode_reply(&bytes[..bytes.len() - 1]) {
        Ok(Some(reply)) => Heard::Reply(reply),
        Ok(None) => Heard::Frame(bytes),
        Err(_) => Heard::Noise,
    }
}

fn is_timeout(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock | io::ErrorKind::Interrupted)
}
