//! Windows from a logger, on a thread of their own, so that whoever looks at them need not wait for one.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use tubtrace_protocol::{Live, Request};

use crate::link::{Link, LinkError, Wire};

/// Windows that wait to be looked at; a minute.
const WAITING: usize = 600;

/// How long the logger has to hear that nobody looks any more.
const GOODBYE: Duration = Duration::from_millis(500);

/// What comes from the link.
#[derive(Debug)]
pub enum Heard {
    /// A window of the logger came.
    Window(Live),
    /// Nothing, for as long as was waited.
    Nothing,
    /// Nothing, for as long as the link is patient.
    Silence,
    /// The connection broke: nothing comes any more.
    Broken(LinkError),
}

/// Listens to a logger.
pub struct Listener {
    heard: Option<Receiver<Heard>>,
    wanted: Arc<AtomicBool>,
    thread: JoinHandle<()>,
}

impl Listener {
    /// Begins to.
    ///
    /// # Errors
    /// When the logger does not send its windows.
    pub fn begin(mut link: Link<Box<dyn Wire>>) -> Result<Self, LinkError> {
        link.order(&Request::Live { on: true })?;
        let wanted = Arc::new(AtomicBool::new(true));
        let (send, heard) = sync_channel(WAITING);
        let still = Arc::clone(&wanted);
        let thread = std::thread::spawn(move || listen(link, &send, &still));
        Ok(Self { heard: Some(heard), wanted, thread })
    }

    /// What comes next, within `patience`.
    #[must_use]
    pub fn next(&self, patience: Duration) -> Heard {
        let Some(heard) = &self.heard else { return Heard::Nothing };
        match heard.recv_timeout(patience) {
            Ok(heard) => heard,
            Err(RecvTimeoutError::Timeout) => Heard::Nothing,
            // The thread ends only when the wire breaks, and says so first.
            Err(RecvTimeoutError::Disconnected) => {
                Heard::Broken(LinkError::Wire(std::io::ErrorKind::UnexpectedEof.into()))
            }
        }
    }

    /// Ends, and lets the logger know, unless it is silent: nobody waits for that.
    pub fn end(mut self) {
        self.wanted.store(false, Ordering::Relaxed);
        self.heard = None;
        let begin = Instant::now();
        while !self.thread.is_finished() && begin.elapsed() < GOODBYE {
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

/// Hands on what comes, until nobody wants it.
fn listen(mut link: Link<Box<dyn Wire>>, send: &SyncSender<Heard>, wanted: &AtomicBool) {
    while wanted.load(Ordering::Relaxed) {
        let heard = match link.live() {
            Ok(window) => Heard::Window(window),
            Err(LinkError::Silent) => Heard::Silence,
            Err(error) => Heard::Broken(error),
        };
        let broken = matches!(heard, Heard::Broken(_));
        if send.send(heard).is_err() || broken {
            break;
        }
    }
    // Who has gone needs not be told.
    let _ = link.order(&Request::Live { on: false });
}
