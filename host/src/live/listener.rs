//! Windows from a logger, on a thread of their own, so that whoever looks at them need not wait for one.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use tubtrace_protocol::{Live, Request};

use crate::link::{Link, LinkError, Wire};

/// Windows that may wait in the queue until somebody takes them: a minute of them.
const WAITING: usize = 600;

/// How long the end of the view waits until the logger has been told to send no more windows.
const GOODBYE: Duration = Duration::from_millis(500);

/// What came from the link within the time that was waited.
#[derive(Debug)]
pub enum Arrival {
    /// A window of the logger came.
    Window(Live),
    /// Nothing, for as long as was waited.
    Nothing,
    /// Nothing, for as long as the link is patient.
    Silence,
    /// The connection broke: nothing comes any more.
    Broken(LinkError),
}

/// A thread that takes the windows of a logger from the link and queues them.
pub struct Listener {
    heard: Option<Receiver<Arrival>>,
    wanted: Arc<AtomicBool>,
    thread: JoinHandle<()>,
}

impl Listener {
    /// Asks the logger to send its windows and starts the thread that takes them.
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

    /// Waits for the next arrival, at most for `patience`.
    #[must_use]
    pub fn next(&self, patience: Duration) -> Arrival {
        let Some(heard) = &self.heard else { return Arrival::Nothing };
        match heard.recv_timeout(patience) {
            Ok(heard) => heard,
            Err(RecvTimeoutError::Timeout) => Arrival::Nothing,
            // The thread ends only when the wire breaks, and says so first.
            Err(RecvTimeoutError::Disconnected) => {
                Arrival::Broken(LinkError::Wire(std::io::ErrorKind::UnexpectedEof.into()))
            }
        }
    }

    /// Ends the thread, which tells the logger to send no more; a silent logger is not waited for.
    pub fn end(mut self) {
        self.wanted.store(false, Ordering::Relaxed);
        self.heard = None;
        let begin = Instant::now();
        while !self.thread.is_finished() && begin.elapsed() < GOODBYE {
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

/// The loop of the thread: queues what comes until nobody wants it any more or the link breaks.
fn listen(mut link: Link<Box<dyn Wire>>, send: &SyncSender<Arrival>, wanted: &AtomicBool) {
    while wanted.load(Ordering::Relaxed) {
        let heard = match link.live() {
            Ok(window) => Arrival::Window(window),
            Err(LinkError::Silent) => Arrival::Silence,
            Err(error) => Arrival::Broken(error),
        };
        let broken = matches!(heard, Arrival::Broken(_));
        if send.send(heard).is_err() || broken {
            break;
        }
    }
    // A logger that has been unplugged cannot be told, which is no error.
    let _ = link.order(&Request::Live { on: false });
}
