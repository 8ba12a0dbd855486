//! The link: what a host asks over the cable, answered. Nothing but [`Request::Erase`] ever erases.

mod inbox;

use core::cell::RefCell;
use core::ops::ControlFlow;

use embassy_futures::select::{Either, select};
use embedded_storage_async::nor_flash::NorFlash;
use tubtrace_protocol::{
    Arm, CRC, CloseReason, Cursor, Identity, MAX_FRAME, Record, Refusal, Reply, Request, State, Status,
    VERSION, decode, encode_reply,
};

use crate::logger::Arming;
use crate::metering::Calibration;
use crate::station::Station;
use crate::storage::{Memory, RingError, Search, Storage};

pub use inbox::Inbox;

/// Groups of sectors that are counted between two words to the host: less than a second's work.
const GROUPS_A_WORD: u32 = 4;

/// Nobody listens any more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gone;

/// The way to the host.
#[allow(async_fn_in_trait, reason = "one thread; nobody needs to name the future")]
pub trait Outlet {
    /// Sends bytes.
    async fn send(&mut self, bytes: &[u8]) -> Result<(), Gone>;

    /// Waits for about a second.
    async fn pause(&mut self);
}

/// A logger with its flash, if it has one, at work for one host at a time.
pub struct Desk<'s, F: NorFlash> {
    station: &'s RefCell<Station>,
    storage: Option<Storage<F>>,
    firmware: &'static str,
}

impl<'s, F: NorFlash> Desk<'s, F> {
    /// A desk. `firmware` is the version to show.
    pub fn new(station: &'s RefCell<Station>, storage: Option<Storage<F>>, firmware: &'static str) -> Self {
        let desk = Self { station, storage, firmware };
        desk.note_storage();
        desk
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

    /// Answers a request.
    ///
    /// # Errors
    /// When nobody listens any more.
    pub async fn answer(&mut self, request: Request, outlet: &mut impl Outlet) -> Result<(), Gone> {
        let answer = match request {
            Request::Hello { nonce } => {
                // A host that says hello is a new one: it has not asked to look on, and what it may have heard of an
                // answer to another ends here.
                self.station.borrow_mut().set_live(false);
                outlet.send(&[0]).await?;
                let firmware = self.firmware.chars().take(16).collect();
                let logger = self.station.borrow().serial();
                Reply::Hello(Identity { nonce, version: VERSION, logger, firmware })
            }
            Request::Status => Reply::Status(self.status()),
            Request::Check => Reply::Checked(self.station.borrow().check()),
            Request::Live { on } => {
                self.station.borrow_mut().set_live(on);
                Reply::Done
            }
            Request::Anchor(clock) if self.recording() => {
                self.station.borrow_mut().anchor(clock);
                Reply::Done
            }
            Request::Anchor(_) => Reply::Refused(Refusal::NotRecording),
            Request::Arm(arm) => done(self.arm(arm).await),
            Request::Stop => done(self.stop().await),
            Request::Erase { token } => {
                let erased = self.erase(token, outlet).await?;
                done(erased)
            }
            Request::Read(cursor) => return self.read(cursor, outlet).await,
        };
        reply(outlet, &answer).await
    }

    fn recording(&self) -> bool {
        self.station.borrow().state() == State::Recording
    }

    fn status(&self) -> Status {
        let status = self.station.borrow().status();
        Status { erase_token: token(&status), ..status }
    }

    async fn arm(&mut self, arm: Arm) -> Result<(), Refusal> {
        match self.station.borrow().state() {
            State::Empty => {}
            State::Recording => return Err(Refusal::Recording),
            State::Stopped => return Err(Refusal::NotEmpty),
            State::NoFlash => return Err(Refusal::Flash),
        }
        let calibration = Calibration::new(arm.microamps_per_count).ok_or(Refusal::Calibration)?;
        let storage = self.storage.as_mut().ok_or(Refusal::Flash)?;
        storage.ring.set_full(arm.full);
        let memory = {
            let mut station = self.station.borrow_mut();
            let logger = station.serial();
            station.arm(Arming { logger, calibration, full: arm.full, label: arm.label }, arm.clock);
            station.memory()
        };
        storage.remember(&memory).await.map_err(|_| Refusal::Flash)?;
        self.write().await;
        Ok(())
    }

    async fn stop(&mut self) -> Result<(), Refusal> {
        if !self.recording() {
            return Err(Refusal::NotRecording);
        }
        let memory = {
            let mut station = self.station.borrow_mut();
            station.close(CloseReason::Stopped);
            station.memory()
        };
        self.write().await;
        let storage = self.storage.as_mut().ok_or(Refusal::Flash)?;
        storage.remember(&memory).await.map_err(|_| Refusal::Flash)
    }

    async fn erase(&mut self, token: u32, outlet: &mut impl Outlet) -> Result<Result<(), Refusal>, Gone> {
        if self.recording() {
            return Ok(Err(Refusal::Recording));
        }
        if self.status().erase_token != token {
            return Ok(Err(Refusal::Token));
        }
        let Some(storage) = &mut self.storage else { return Ok(Err(Refusal::Flash)) };
        let mut gone = Ok(());
        let erased = {
            let mut erasing = core::pin::pin!(storage.ring.erase());
            loop {
                match select(erasing.as_mut(), outlet.pause()).await {
                    Either::First(erased) => break erased,
                    // Whoever asked may have gone: what was begun is ended all the same.
                    Either::Second(()) => gone = reply(outlet, &Reply::Working { permille: 0 }).await,
                }
            }
        };
        if erased.is_err() {
            return Ok(Err(Refusal::Flash));
        }
        let memory = {
            let mut station = self.station.borrow_mut();
            station.erased();
            station.memory()
        };
        if storage.remember(&memory).await.is_err() {
            return Ok(Err(Refusal::Flash));
        }
        self.note_storage();
        gone.map(Ok)
    }

    async fn read(&mut self, mut cursor: Cursor, outlet: &mut impl Outlet) -> Result<(), Gone> {
        if self.storage.is_none() {
            return reply(outlet, &Reply::Refused(Refusal::Flash)).await;
        }
        self.station.borrow_mut().flush();
        self.write().await;
        if self.find(&cursor, outlet).await?.is_err() {
            return reply(outlet, &Reply::Refused(Refusal::Flash)).await;
        }
        loop {
            // What waits is written first; and again whenever much waits, for then reading must make way.
            self.write().await;
            let Some(storage) = &mut self.storage else { return Err(Gone) };
            let (mut gone, mut interrupted) = (false, false);
            let station = self.station;
            let found = storage
                .ring
                .read_from(&mut cursor, async |frame| {
                    if station.borrow().pressing() {
                        interrupted = true;
                        return ControlFlow::Break(());
                    }
                    gone = outlet.send(frame).await.is_err();
                    if gone { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
                })
                .await;
            match found {
                _ if gone => return Err(Gone),
                Ok(true) if interrupted => {}
                Ok(true) => return reply(outlet, &Reply::End { cursor }).await,
                Ok(false) => return reply(outlet, &Reply::Refused(Refusal::OtherLog)).await,
                Err(_) => return reply(outlet, &Reply::Refused(Refusal::Flash)).await,
            }
        }
    }

    /// Has the ring find the frame that a cursor names, and makes way for writing meanwhile.
    async fn find(&mut self, cursor: &Cursor, outlet: &mut impl Outlet) -> Result<Result<(), Refusal>, Gone> {
        let mut search = Search::default();
        for group in 1u32.. {
            let Some(storage) = &mut self.storage else { return Ok(Err(Refusal::Flash)) };
            match storage.ring.search(&mut search, cursor).await {
                Ok(None) => break,
                Ok(Some(permille)) if group.is_multiple_of(GROUPS_A_WORD) => {
                    reply(outlet, &Reply::Working { permille }).await?;
                }
                Ok(Some(_)) => {}
                Err(_) => return Ok(Err(Refusal::Flash)),
            }
            if self.station.borrow().pressing() {
                self.write().await;
            }
        }
        Ok(Ok(()))
    }

    /// The flash back.
    pub fn into_flash(self) -> Option<F> {
        self.storage.map(|storage| storage.ring.into_flash())
    }

    fn note_storage(&self) {
        if let Some(storage) = &self.storage {
            self.station.borrow_mut().note_storage(storage.ring.used(), storage.ring.capacity());
        }
    }
}

/// Takes the oldest frame that waits; gives its length. The borrow ends here, before the flash is waited for.
fn take(station: &RefCell<Station>, buffer: &mut [u8; MAX_FRAME]) -> Option<usize> {
    station.borrow_mut().next_frame(buffer).map(<[u8]>::len)
}

const fn done(result: Result<(), Refusal>) -> Reply {
    match result {
        Ok(()) => Reply::Done,
        Err(refusal) => Reply::Refused(refusal),
    }
}

async fn reply(outlet: &mut impl Outlet, reply: &Reply) -> Result<(), Gone> {
    let mut buffer = [0; MAX_FRAME];
    // A reply is far shorter than the longest record.
    let frame = encode_reply(reply, &mut buffer).map_err(|_| Gone)?;
    outlet.send(frame).await
}

/// Whether a frame tells of a loss, or closes a log.
fn ends_a_log(frame: &[u8]) -> bool {
    let record = frame.strip_suffix(&[0]).map(decode);
    matches!(record, Some(Ok(Ok(Record::Loss(_) | Record::Closed(_)))))
}

/// Changes whenever what is stored does.
fn token(status: &Status) -> u32 {
    let mut digest = CRC.digest();
    digest.update(&status.used.to_le_bytes());
    digest.update(&status.tick.0.to_le_bytes());
    digest.update(status.label.as_bytes());
    digest.finalize()
}
