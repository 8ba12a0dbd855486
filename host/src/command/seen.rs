//! The windows that a live view has received, and the file in which they are kept meanwhile (`watch --keep`).

use std::path::Path;

use tubtrace_protocol::Live;

use crate::live::Session;
use crate::output::{Growing, OutputError};

/// After so many windows, ten seconds, what is held back is written to the file: a kill costs no more than that.
const SETTLE: u32 = 100;

/// The windows that a live view has seen, with the file that keeps them where one was asked for.
pub(super) struct Seen {
    pub(super) session: Session,
    kept: Option<Growing>,
    /// How many bytes of the session's log are in the file, those included that the session has dropped since.
    written: usize,
    unsettled: u32,
}

impl Seen {
    /// Begins with no window; where there is a path, creates the log file there.
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
        // What the session has dropped was written to the file long before.
        let forgotten = self.session.forgotten();
        let frames = self.session.settle();
        kept.append(&frames[self.written - forgotten..])?;
        self.written = forgotten + frames.len();
        Ok(())
    }

    /// Writes the end of the log, closing record included, and syncs the file.
    pub(super) fn end(mut self) -> Result<(), OutputError> {
        let Some(kept) = &mut self.kept else { return Ok(()) };
        kept.append(&self.session.log()[self.written - self.session.forgotten()..])?;
        kept.sync()
    }
}
