//! The board's own code on the host: a station behind its request handler, with a flash that outlives the power, and a cable that may be pulled.

use std::cell::RefCell;

use embassy_futures::block_on;
use tubtrace_core::link::{Gone, Outlet, RequestHandler};
use tubtrace_core::{Block, Start, Station, Storage};
use tubtrace_protocol::{Cursor, Reply, Request, Status, Tick, check_of, decode_reply};
use tubtrace_simulator::RamFlash;

/// What the host hears; after `patience` sends the cable is pulled.
#[derive(Default)]
struct Cable {
    heard: Vec<Vec<u8>>,
    patience: Option<usize>,
}

impl Outlet for Cable {
    async fn send(&mut self, bytes: &[u8]) -> Result<(), Gone> {
        if self.patience == Some(self.heard.len()) {
            return Err(Gone);
        }
        self.heard.push(bytes.to_vec());
        Ok(())
    }

    async fn pause(&mut self) {
        embassy_futures::yield_now().await;
    }
}

/// A board with power.
pub struct Bench<'s> {
    /// What it does window by window.
    pub station: &'s RefCell<Station>,
    /// What it does at leisure.
    pub handler: RequestHandler<'s, RamFlash>,
}

/// Runs `what` on a board that starts from `flash`, then takes the power away and gives the flash back.
///
/// # Panics
/// When the flash does not work.
pub fn board<T>(flash: RamFlash, reason: Start, what: impl FnOnce(&mut Bench) -> T) -> (RamFlash, T) {
    let size = flash.size();
    let mut storage = block_on(Storage::open(flash, size)).expect("a flash that works");
    let memory = block_on(storage.recall()).expect("a flash that works");
    let stored = storage.ring.used() > 0;
    let station = RefCell::new(Station::start(memory, 77, reason, stored));
    let mut bench =
        Bench { station: &station, handler: RequestHandler::new(&station, Some(storage), "test") };
    let result = what(&mut bench);
    (bench.handler.into_flash().expect("the request handler has one"), result)
}

impl Bench<'_> {
    /// The window of number `n` passes; with every tenth, the clips are read.
    pub fn give(&mut self, block: &Block, n: u32) {
        self.station.borrow_mut().window(block);
        if n.is_multiple_of(Tick::PER_SECOND) {
            self.station.borrow_mut().temperatures(Some([16_384, 16_384]));
        }
        block_on(self.handler.write());
    }

    /// The last reply to a request.
    ///
    /// # Panics
    /// When it is no reply.
    pub fn ask(&mut self, request: Request) -> Reply {
        let mut cable = Cable::default();
        block_on(self.handler.answer(request, &mut cable)).expect("the cable is in");
        reply(&cable.heard.pop().expect("an answer")).expect("a reply")
    }

    /// The state of the board.
    ///
    /// # Panics
    /// When it does not tell.
    pub fn status(&mut self) -> Status {
        let Reply::Status(status) = self.ask(Request::Status) else { panic!("no status") };
        status
    }

    /// Reads on from the cursor until the end or until the cable is pulled after so many frames; moves the cursor as a host
    /// does. Gives the frames, and whether that was the end.
    ///
    /// # Panics
    /// When what it hears are no frames, or the end is not told.
    pub fn read_on(&mut self, cursor: &mut Cursor, patience: Option<usize>) -> (Vec<Vec<u8>>, bool) {
        let mut cable = Cable { patience, ..Cable::default() };
        let whole = block_on(self.handler.answer(Request::Read(*cursor), &mut cable)).is_ok();
        if whole {
            let end = cable.heard.pop().expect("an answer");
            assert!(matches!(reply(&end), Some(Reply::End { .. })));
        }
        // While the place is looked for, the logger says that it works.
        cable.heard.retain(|bytes| !matches!(reply(bytes), Some(Reply::Working { .. })));
        if let Some(last) = cable.heard.last() {
            cursor.frames += cable.heard.len() as u32;
            cursor.check = check_of(last.strip_suffix(&[0]).expect("a frame")).expect("a whole frame");
        }
        (cable.heard, whole)
    }
}

/// The reply that these bytes are, or nothing for a frame of the log.
fn reply(bytes: &[u8]) -> Option<Reply> {
    decode_reply(bytes.strip_suffix(&[0]).expect("a frame")).expect("a frame")
}
