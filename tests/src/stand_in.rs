//! Something that stands in for a logger on a port of this computer, and answers as a test wants: a good one, or a hostile one.

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::{Arc, Mutex};

use tubtrace_protocol::{
    Attached, Checked, Clamp, Cursor, FORMAT, Identity, Label, MAX_FRAME, Mains, Mark, OpenReason, Opened,
    Record, Reply, Request, State, Status, Thermistor, Tick, VERSION, check_of, decode_request, encode,
    encode_reply,
};

/// The serial number of the one that stands in.
pub const SERIAL: u32 = 7;

/// What a stand-in does with the wire at each request; an error ends the conversation.
pub type Answer = dyn FnMut(&Request, &mut TcpStream) -> std::io::Result<()> + Send;

/// One that stands in, on a thread of its own, for as long as the test runs.
pub struct StandIn {
    /// The TCP port on which it listens.
    pub port: u16,
    asked: Arc<Mutex<Vec<Request>>>,
}

impl StandIn {
    /// Answers every request by `answer`, one host after the other.
    ///
    /// # Panics
    /// When there is no port.
    #[must_use]
    pub fn new(mut answer: Box<Answer>) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
        let port = listener.local_addr().expect("a port").port();
        let asked = Arc::new(Mutex::new(Vec::new()));
        let heard = Arc::clone(&asked);
        std::thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                // Whoever has gone has gone.
                let _ = converse(stream, &heard, &mut *answer);
            }
        });
        Self { port, asked }
    }

    /// What `--port` takes.
    #[must_use]
    pub fn name(&self) -> String {
        format!("tcp:127.0.0.1:{}", self.port)
    }

    /// What it was asked so far.
    ///
    /// # Panics
    /// When its thread has.
    #[must_use]
    pub fn asked(&self) -> Vec<Request> {
        self.asked.lock().expect("no panic there").clone()
    }
}

fn converse(mut stream: TcpStream, asked: &Mutex<Vec<Request>>, answer: &mut Answer) -> std::io::Result<()> {
    stream.set_nodelay(true)?;
    let (mut waiting, mut piece) = (Vec::new(), [0; 1_024]);
    loop {
        let length = stream.read(&mut piece)?;
        if length == 0 {
            return Ok(());
        }
        waiting.extend_from_slice(&piece[..length]);
        while let Some(end) = waiting.iter().position(|&b| b == 0) {
            let frame: Vec<u8> = waiting.drain(..=end).collect();
            if let Ok(request) = decode_request(&frame[..end]) {
                asked.lock().expect("no panic there").push(request.clone());
                answer(&request, &mut stream)?;
            }
        }
    }
}

/// A reply as it goes over the wire.
///
/// # Panics
/// When it is longer than any.
#[must_use]
pub fn framed(reply: &Reply) -> Vec<u8> {
    let mut buffer = [0; MAX_FRAME];
    encode_reply(reply, &mut buffer).expect("a reply fits").to_vec()
}

/// A frame of a log.
///
/// # Panics
/// When it is longer than any.
#[must_use]
pub fn frame(record: &Record) -> Vec<u8> {
    let mut buffer = [0; MAX_FRAME];
    encode(record, &mut buffer).expect("a record fits").to_vec()
}

/// The frames of a log of this logger: it was opened, and its button pressed so many times.
#[must_use]
pub fn log(logger: u32, marks: u32) -> Vec<Vec<u8>> {
    let opened = Record::Opened(Opened {
        format: FORMAT,
        version: VERSION,
        tick: Tick(0),
        reason: OpenReason::Armed,
        logger,
        microamps_per_count: 16_113,
        label: Label::default(),
    });
    let marks = (0..marks).map(|n| Record::Mark(Mark { tick: Tick(n) }));
    std::iter::once(opened).chain(marks).map(|r| frame(&r)).collect()
}

/// What a logger in good health says, in this state.
#[must_use]
pub fn status(state: State) -> Status {
    Status {
        state,
        tick: Tick(100),
        uptime: 100,
        used: 4_096,
        capacity: 1 << 16,
        lost: 0,
        battery_mv: 4_500,
        mains: Mains::Hz60,
        erase_token: 5,
        label: Label::default(),
    }
}

/// Clips that are all well.
#[must_use]
pub const fn well() -> Checked {
    Checked { clamp: Clamp::Live, pickups: [Attached::Hears; 2], clips: [Thermistor::Reads(2_000); 2] }
}

/// A logger that does what it is asked: it is in this state, its clips are like this, and it holds these frames.
#[derive(Clone, Debug)]
pub struct Good {
    /// How it is; arming, stopping and erasing change it.
    pub state: State,
    /// What its self-check finds.
    pub checked: Checked,
    /// The frames of its log, in order.
    pub frames: Vec<Vec<u8>>,
}

impl Good {
    /// Answers a request.
    ///
    /// # Errors
    /// When the host has gone.
    pub fn answer(&mut self, request: &Request, wire: &mut impl Write) -> std::io::Result<()> {
        let reply = match request {
            Request::Hello { nonce } => {
                wire.write_all(&[0])?;
                let firmware = "test".try_into().unwrap_or_default();
                Reply::Hello(Identity { nonce: *nonce, version: VERSION, logger: SERIAL, firmware })
            }
            Request::Status => Reply::Status(status(self.state)),
            Request::Check => Reply::Checked(self.checked),
            Request::Read(cursor) => {
                for frame in self.frames.iter().skip(cursor.frames as usize) {
                    wire.write_all(frame)?;
                }
                Reply::End { cursor: self.end() }
            }
            Request::Arm(_) => self.becomes(State::Recording),
            Request::Stop => self.becomes(State::Stopped),
            Request::Erase { .. } => {
                self.frames.clear();
                self.becomes(State::Empty)
            }
            Request::Anchor(_) | Request::Live { .. } => Reply::Done,
        };
        wire.write_all(&framed(&reply))
    }

    fn becomes(&mut self, state: State) -> Reply {
        self.state = state;
        Reply::Done
    }

    fn end(&self) -> Cursor {
        let check = self.frames.last().and_then(|f| check_of(f.strip_suffix(&[0])?).ok());
        Cursor { frames: self.frames.len() as u32, check: check.unwrap_or(0) }
    }
}
