//! How long a logger may take. Every wait has an end, whatever a logger says meanwhile.

use std::time::Duration;

use tubtrace_protocol::Request;

/// How long a host waits for what.
#[derive(Clone, Copy, Debug)]
pub struct Patience {
    /// For a word: a logger answers within milliseconds, and a chip that erases keeps it for 0.4 s.
    pub word: Duration,
    /// For the next word of one that is at work: it says so once a second.
    pub working: Duration,
    /// For an answer, however often it says that it is at work: it writes down what waits, some tens of pages and a sector or two.
    pub answer: Duration,
    /// For an erasure: 16 MiB, the most that 24-bit addresses reach, are 4,096 sectors of 4 KiB, of 0.4 s each at worst. These are 27
    /// minutes, to which a third is added. At the usual 0.045 s it takes three.
    pub erasure: Duration,
    /// For a log to begin to come, or to go on after a recording has interrupted it.
    pub pause: Duration,
    /// Bytes a second that a log comes at, beyond such pauses: half of what the slowest serial line in use carries, 9,600 baud. Common
    /// practice, no source. USB carries hundreds of times as much.
    pub rate: u32,
}

impl Default for Patience {
    fn default() -> Self {
        Self {
            word: Duration::from_secs(5),
            working: Duration::from_secs(20),
            answer: Duration::from_secs(60),
            erasure: Duration::from_secs(36 * 60),
            pause: Duration::from_secs(60),
            rate: 480,
        }
    }
}

impl Patience {
    /// For the answer to a request.
    pub(super) const fn with(&self, request: &Request) -> Duration {
        match request {
            Request::Erase { .. } => self.erasure,
            _ => self.answer,
        }
    }

    /// For a log of which so many bytes have come.
    pub(super) fn of_log(&self, bytes: u64) -> Duration {
        self.pause + Duration::from_secs(bytes / u64::from(self.rate.max(1)))
    }
}
