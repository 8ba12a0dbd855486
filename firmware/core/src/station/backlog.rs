//! Frames that wait for the flash: it may be busy erasing for 0.4 s while windows go on coming.

use heapless::Deque;
use tubtrace_protocol::{Loss, LossCause, MAX_FRAME, Record, Tick, decode, encode};

/// Bytes that can wait. A burst of raw samples makes three kilobytes at once; the rest is a few hundred bytes a second.
const BYTES: usize = 8_192;

/// Of these, kept free for marks: what a person saw cannot be measured again. Forty presses; a mark's frame is 13 bytes at most
/// with its closing zero.
const FOR_MARKS: usize = 520;

/// Frames in order, each with its closing zero; and what became of those that could not be kept.
#[derive(Debug, Default)]
pub(super) struct Backlog {
    bytes: Deque<u8, BYTES>,
    /// Whether records are wanted: only while a log is recorded.
    pub(super) open: bool,
    /// Windows that were lost and that no record tells of yet: the first, and how many.
    untold: Option<(Tick, u32)>,
    /// Windows lost since the start.
    pub(super) lost: u32,
}

impl Backlog {
    /// Keeps a record. What there is no room for is counted, and told as soon as there is room again. Whether it is kept.
    pub(super) fn put(&mut self, record: &Record) -> bool {
        if !self.open {
            return false;
        }
        if matches!(record, Record::Mark(_)) {
            // A mark has its own tick: it may come before what is said of windows that were lost before it.
            return self.push(record, 0);
        }
        if let Some((first, windows)) = self.untold
            && self.push(&Record::Loss(Loss { first, windows, cause: LossCause::Flash }), FOR_MARKS)
        {
            self.untold = None;
        }
        let kept = self.untold.is_none() && self.push(record, FOR_MARKS);
        if !kept {
            self.gone(record);
        }
        kept
    }

    /// The flash refused a frame that was taken from here.
    pub(super) fn refused(&mut self, frame: &[u8]) {
        if let Some(Ok(Ok(record))) = frame.strip_suffix(&[0]).map(decode) {
            self.gone(&record);
        }
    }

    fn gone(&mut self, record: &Record) {
        let (start, windows) = match record {
            Record::Windows(windows) => (windows.start, windows.len()),
            // Told again: what a lost record of a loss has said.
            Record::Loss(loss) => (loss.first, loss.windows),
            _ => return,
        };
        if matches!(record, Record::Windows(_)) {
            self.lost = self.lost.saturating_add(windows);
        }
        let (first, before) = self.untold.unwrap_or((start, 0));
        self.untold = Some((first, before.saturating_add(windows)));
    }

    /// Appends whole or not at all, and leaves so many bytes free; `false` when there is no room.
    fn push(&mut self, record: &Record, free: usize) -> bool {
        let mut buffer = [0; MAX_FRAME];
        // MAX_FRAME holds every record, which the tests of the protocol show.
        let Ok(frame) = encode(record, &mut buffer) else { return false };
        if self.bytes.capacity() - self.bytes.len() < frame.len() + free {
            return false;
        }
        for &byte in &*frame {
            let _ = self.bytes.push_back(byte);
        }
        true
    }

    /// Takes the oldest frame. One that was taken and not stored is lost with a power cut, as one in the sampler's
    /// hands would be.
    pub(super) fn pop<'b>(&mut self, buffer: &'b mut [u8; MAX_FRAME]) -> Option<&'b [u8]> {
        let mut length = 0;
        loop {
            let byte = self.bytes.pop_front()?;
            buffer[length] = byte;
            length += 1;
            if byte == 0 {
                return Some(&buffer[..length]);
            }
        }
    }

    /// Whether so much waits that it should be written before anything else is done.
    pub(super) fn presses(&self) -> bool {
        self.bytes.len() > BYTES / 2
    }

    /// Forgets all that waits.
    pub(super) fn clear(&mut self) {
        self.bytes.clear();
        self.untold = None;
    }
}
