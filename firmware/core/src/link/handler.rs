//! The request handler: writes what waits for the flash, and sends what nobody asked for; what is asked is in `requests`.

use core::cell::RefCell;

use embedded_storage_async::nor_flash::NorFlash;
use tubtrace_protocol::{CloseReason, MAX_FRAME, Record, Reply, decode};

use super::outlet::{Outlet, reply};
use crate::station::Station;
use crate::storage::{Memory, RingError, Storage};

/// A logger with its flash, if it has one, at work for one host at a time.
pub struct RequestHandler<'s, F: NorFlash> {
    pub(super) station: &'s RefCell<Station>,
    pub(super) storage: Option<Storage<F>>,
    pub(super) firmware: &'static str,
}

impl<'s, F: NorFlash> RequestHandler<'s, F> {
    /// A handler of requests to `station`. `firmware` is the version that a host is shown.
    pub fn new(station: &'s RefCell<Station>, storage: Option<Storage<F>>, firmware: &'static str) -> Self {
        let handler = Self { station, storage, firmware };
        handler.note_storage();
        handler
    }

    /// Whether there is no flash that works.
    #[must_use]
    pub const fn wants_flash(&self) -> bool {
        self.storage.is_none()
    }

    /// A flash was opened after all, and this is what was remembered on it.
    pub async fn with_flash(&mut self, storage: Storage<F>, memory: Option<Memory>) {
        let stored = storage.ring.used() > 0;
        let memory = {
            let mut station = self.station.borrow_mut();
            station.with_flash(memory, stored);
            station.memory()
        };
        let storage = self.storage.insert(storage);
        if storage.remember(&memory).await.is_err() {
            self.station.borrow_mut().not_remembered();
        }
        self.note_storage();
    }

    /// Writes down what waits, and reserves ticks when it is time to.
    pub async fn write(&mut self) {
        let Some(storage) = &mut self.storage else { return };
        let due = self.station.borrow_mut().due();
        if let Some(memory) = due
            && storage.remember(&memory).await.is_err()
        {
            self.station.borrow_mut().not_remembered();
        }
        let mut buffer = [0; MAX_FRAME];
        let mut wrote = false;
        while let Some(length) = take(self.station, &mut buffer) {
            let frame = &buffer[..length];
            wrote = true;
            match storage.ring.append_frame(frame).await {
                Ok(()) => {}
                Err(RingError::Full) => return self.full(frame).await,
                Err(_) => self.station.borrow_mut().refused(frame),
            }
        }
        if wrote {
            self.note_storage();
        } else {
            // Nothing waits: a good time to count frames, so that a host which asks for the later ones need not wait for it.
            // A flash that cannot be read now is for whoever wants something of it to find out.
            let _ = storage.ring.count_ahead().await;
        }
    }

    /// The flash is full and was told to stop. The last sector may still have room for a closing record.
    async fn full(&mut self, frame: &[u8]) {
        let Some(storage) = &mut self.storage else { return };
        let memory = {
            let mut station = self.station.borrow_mut();
            station.refused(frame);
            station.close(CloseReason::Full);
            station.memory()
        };
        let _ = storage.remember(&memory).await;
        let mut buffer = [0; MAX_FRAME];
        while let Some(length) = take(self.station, &mut buffer) {
            let frame = &buffer[..length];
            // What little room there is belongs to what says that the log ends here.
            if ends_a_log(frame) {
                let _ = storage.ring.append_frame(frame).await;
            }
        }
        self.note_storage();
    }

    /// Sends the last window, where a host looks on.
    pub async fn show(&mut self, outlet: &mut impl Outlet) {
        let (live, latest) = {
            let station = self.station.borrow();
            (station.is_live(), station.latest())
        };
        if live && reply(outlet, &Reply::Live(latest)).await.is_err() {
            self.station.borrow_mut().set_live(false);
        }
    }

    /// Gives the flash back; `None` where there was none.
    pub fn into_flash(self) -> Option<F> {
        self.storage.map(|storage| storage.ring.into_flash())
    }

    pub(super) fn note_storage(&self) {
        if let Some(storage) = &self.storage {
            self.station.borrow_mut().note_storage(storage.ring.used(), storage.ring.capacity());
        }
    }
}

/// Takes the oldest frame that waits; gives its length. The borrow ends here, before the flash is waited for.
fn take(station: &RefCell<Station>, buffer: &mut [u8; MAX_FRAME]) -> Option<usize> {
    station.borrow_mut().next_frame(buffer).map(<[u8]>::len)
}

/// Whether a frame tells of a loss, or closes a log.
fn ends_a_log(frame: &[u8]) -> bool {
    let record = frame.strip_suffix(&[0]).map(decode);
    matches!(record, Some(Ok(Ok(Record::Loss(_) | Record::Closed(_)))))
}
