//! A conversation with one logger: requests, and what came over the wire.

use std::io::{self, Read, Write};
use std::time::Instant;

use tubtrace_protocol::{Cursor, Identity, MAX_FRAME, Reply, Request, Status, decode_reply, encode_request};

use super::error::LinkError;
use super::patience::Patience;

/// What came over the wire.
#[derive(Debug)]
enum Incoming {
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
    patience: Patience,
}

impl<W: Read + Write> Link<W> {
    /// Says hello and waits for the answer. `nonce` is any number: the logger sends it back, and what comes before that belongs to an
    /// earlier conversation and is passed over.
    ///
    /// # Errors
    /// [`LinkError::Wire`] when the connection breaks, [`LinkError::Silent`] when no answer comes.
    pub fn begin(wire: W, nonce: u32) -> Result<Self, LinkError> {
        Self::begin_with(wire, nonce, Patience::default())
    }

    /// Begins as [`Link::begin`] does, and waits for answers as long as `patience` says.
    ///
    /// # Errors
    /// As [`Link::begin`].
    pub fn begin_with(wire: W, nonce: u32, patience: Patience) -> Result<Self, LinkError> {
        let nobody = Identity { nonce, version: 0, logger: 0, firmware: Default::default() };
        let mut link = Self { wire, waiting: Vec::new(), identity: nobody, patience };
        link.wire.write_all(&[0])?;
        link.send(&Request::Hello { nonce })?;
        let deadline = Instant::now() + patience.word;
        loop {
            match link.hear(deadline)? {
                Incoming::Reply(Reply::Hello(identity)) if identity.nonce == nonce => {
                    link.identity = identity;
                    return Ok(link);
                }
                _ => {}
            }
        }
    }

    /// The logger's number, the version of its protocol and its firmware, as it gave them when the conversation began.
    pub const fn identity(&self) -> &Identity {
        &self.identity
    }

    /// Asks the logger for its state: whether it records, and how much its memory holds.
    ///
    /// # Errors
    /// As [`Link::ask`], and [`LinkError::Confused`] when it answers with anything else.
    pub fn status(&mut self) -> Result<Status, LinkError> {
        match self.ask(&Request::Status)? {
            Reply::Status(status) => Ok(status),
            _ => Err(LinkError::Confused),
        }
    }

    /// Asks for something to be done, and returns when the logger says that it is.
    ///
    /// # Errors
    /// As [`Link::ask`]; [`LinkError::Refused`] when the logger will not, [`LinkError::Confused`] when it answers with anything else.
    pub fn order(&mut self, request: &Request) -> Result<(), LinkError> {
        match self.ask(request)? {
            Reply::Done => Ok(()),
            Reply::Refused(refusal) => Err(LinkError::Refused(refusal)),
            _ => Err(LinkError::Confused),
        }
    }

    /// Asks, and waits for the answer; while the logger says that it is at work, for as long as that request may take.
    ///
    /// # Errors
    /// [`LinkError::Wire`] when the connection breaks, [`LinkError::Silent`] when nothing comes, [`LinkError::Endless`] when the work does
    /// not end.
    pub fn ask(&mut self, request: &Request) -> Result<Reply, LinkError> {
        self.send(request)?;
        let begin = Instant::now();
        let (end, mut deadline) = (begin + self.patience.with(request), begin + self.patience.word);
        loop {
            match self.hear(deadline.min(end)) {
                Ok(Incoming::Reply(Reply::Working { .. })) => {
                    deadline = Instant::now() + self.patience.working
                }
                // Windows may still be on their way when they are no longer wanted.
                Ok(Incoming::Reply(Reply::Live(_)) | Incoming::Frame(_) | Incoming::Noise) => {}
                Ok(Incoming::Reply(reply)) => return Ok(reply),
                Err(LinkError::Silent) if deadline > end => return Err(LinkError::Endless),
                Err(error) => return Err(error),
            }
        }
    }

    /// Waits for the next window of a live view.
    ///
    /// # Errors
    /// [`LinkError::Wire`] when the connection breaks, [`LinkError::Silent`] when none comes.
    pub fn live(&mut self) -> Result<tubtrace_protocol::Live, LinkError> {
        let deadline = Instant::now() + self.patience.word;
        loop {
            if let Incoming::Reply(Reply::Live(live)) = self.hear(deadline)? {
                return Ok(live);
            }
        }
    }

    /// Reads the log after `cursor`, frame by frame; it may take as long as its bytes do over a slow line. Damage on the wire ends it as a broken wire does: the frames
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
        let (begin, mut came) = (Instant::now(), 0);
        loop {
            if begin.elapsed() > self.patience.of_log(came) {
                return Err(LinkError::Slow.into());
            }
            match self.hear(Instant::now() + self.patience.word)? {
                Incoming::Frame(bytes) => {
                    came += bytes.len() as u64;
                    frame(&bytes)?;
                    let check = bytes.strip_suffix(&[0]).and_then(|f| tubtrace_protocol::check_of(f).ok());
                    *cursor = Cursor { frames: cursor.frames + 1, check: check.unwrap_or(0) };
                }
                Incoming::Reply(Reply::End { cursor: end }) if end == *cursor => return Ok(()),
                Incoming::Reply(Reply::Refused(refusal)) => return Err(LinkError::Refused(refusal).into()),
                Incoming::Reply(Reply::Live(_) | Reply::Working { .. }) => {}
                Incoming::Reply(_) => return Err(LinkError::Confused.into()),
                Incoming::Noise => {
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

    fn hear(&mut self, deadline: Instant) -> Result<Incoming, LinkError> {
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
                return Ok(Incoming::Noise);
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

fn sort(bytes: Vec<u8>) -> Incoming {
    match decode_reply(&bytes[..bytes.len() - 1]) {
        Ok(Some(reply)) => Incoming::Reply(reply),
        Ok(None) => Incoming::Frame(bytes),
        Err(_) => Incoming::Noise,
    }
}

fn is_timeout(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock | io::ErrorKind::Interrupted)
}
