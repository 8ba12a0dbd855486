//! What a host may ask of the logger, request by request. Nothing but [`Request::Erase`] ever erases.

use core::ops::ControlFlow;

use embassy_futures::select::{Either, select};
use embedded_storage_async::nor_flash::NorFlash;
use tubtrace_protocol::{
    Arm, CRC, CloseReason, Cursor, Identity, Refusal, Reply, Request, State, Status, VERSION,
};

use super::handler::RequestHandler;
use super::outlet::{Gone, Outlet, reply};
use crate::logger::Arming;
use crate::metering::Calibration;
use crate::storage::Search;

/// Groups of sectors that are counted between two words to the host: less than a second's work.
const GROUPS_A_WORD: u32 = 4;

impl<F: NorFlash> RequestHandler<'_, F> {
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
}

const fn done(result: Result<(), Refusal>) -> Reply {
    match result {
        Ok(()) => Reply::Done,
        Err(refusal) => Reply::Refused(refusal),
    }
}

/// Changes whenever what is stored does.
fn token(status: &Status) -> u32 {
    let mut digest = CRC.digest();
    digest.update(&status.used.to_le_bytes());
    digest.update(&status.tick.0.to_le_bytes());
    digest.update(status.label.as_bytes());
    digest.finalize()
}
