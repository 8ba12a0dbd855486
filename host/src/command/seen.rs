//! What a live view has seen, and the log in which it is kept meanwhile.

use std::path::Path;

use tubtrace_protocol::Live;

use crate::live::Session;
use crate::output::{Growing, OutputError};

/// Windows after which what is held back is written: what a kill may cost, ten seconds.
const SETTLE: u32 = 100;

/// The windows that a live view has seen, with the file that keeps them where one was asked for.
pub(super) struct Seen {
    pub(super) session: Session,
    kept: Option<Growing>,
    /// Bytes of the session's log that are in the file, those that the session has forgotten among them.
    written: usize,
    unsettled: u32,
}

impl Seen {
    /// Nothing yet; with a path, its log is begun there.
    pub(super) fn begin(session: Session, keep: Option<&Path>) -> Result<Self, OutputError> {
        let kept = keep.map(Growing::create).transpose()?;
        let mut seen = Self { session, kept, written: 0, unsettled: 0 };
        seen.settle()?;
        Ok(seen)
    }

    pub(super) fn take(&mut self, window: &Live) -> Result<(), OutputError> {
        self.session.take(window);
        self.unsettled += 1;
        if self.unsettled >= SETTLE { self.settle() } else { Ok(()) }
    }

    fn settle(&mut self) -> Result<(), OutputError> {
        self.unsettled = 0;
        let Some(kept) = &mut self.kept else { return Ok(()) };
        // What the session forgets was written long before.
        let forgotten = self.session.forgotten();
        let frames = self.session.settle();
        kept.append(&frames[self.written - forgotten..])?;
        self.written = forgotten + frames.len();
        Ok(())
    }

    /// The log is closed.
    pub(super) fn end(mut self) -> Result<(), OutputError> {
        let Some(kept) = &mut self.kept else { return Ok(()) };
        kept.append(&self.session.log()[self.written - self.session.forgotten()..])?;
        kept.sync()
    }
}
