//! What the tests on the emulated board do again and again: arm, fetch, compare with what the host makes natively.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use tubtrace::link::{Link, Wire, pull};
use tubtrace_core::metering::Calibration;
use tubtrace_core::{Arming, Block, Logger};
use tubtrace_protocol::{
    Arm, CloseReason, Full, HostClock, Item, OpenReason, Reader, Record, Request, State, Tick, Window,
};

use super::Emulator;

/// The host's clock when a log is armed.
pub const CLOCK: HostClock = HostClock { unix_ms: 1_800_000_000_000, offset_minutes: -300 };

/// Arms over a link.
///
/// # Panics
/// When the logger refuses.
pub fn arm(link: &mut Link<Box<dyn Wire>>, full: Full) {
    let label = "flat 3".try_into().unwrap();
    link.order(&Request::Arm(Arm { clock: CLOCK, label, microamps_per_count: 16_113, full })).unwrap();
}

/// Arms; gives how many windows had passed before the first that is recorded.
///
/// # Panics
/// When the logger does not record then.
pub fn armed(board: &mut Emulator, full: Full) -> usize {
    let (status, _) = board.serve(|link| {
        arm(link, full);
        link.status().unwrap()
    });
    assert_eq!(status.state, State::Recording);
    (status.uptime - status.tick.0) as usize
}

/// A file that is gone when the test is.
pub struct Place(PathBuf);

impl Place {
    /// A place of that name, empty.
    #[must_use]
    pub fn new(name: &str) -> Self {
        let place = Self(std::env::temp_dir().join(format!("tubtrace-{}-{name}.tub", std::process::id())));
        place.clear();
        place
    }

    /// Path of the file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.0
    }

    fn clear(&self) {
        let _ = std::fs::remove_file(&self.0);
        let _ = std::fs::remove_file(self.0.with_extension("tub.part"));
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        self.clear();
    }
}

/// Fetches the log with the command's own code.
///
/// # Panics
/// When it cannot be fetched.
pub fn fetch(board: &mut Emulator, name: &str) -> Vec<Record> {
    let place = Place::new(name);
    let (pulled, _) = board.serve(|link| pull(link, place.path(), |_| {}));
    pulled.unwrap();
    records(&std::fs::read(place.path()).unwrap())
}

/// The records of an undamaged log.
///
/// # Panics
/// When it is damaged.
#[must_use]
pub fn records(log: &[u8]) -> Vec<Record> {
    let mut records = Vec::new();
    let mut reader = Reader::default();
    let mut take = |item| match item {
        Item::Record(record) => records.push(record),
        other => panic!("{other:?}"),
    };
    reader.push(log, &mut take);
    reader.finish(take);
    records
}

/// Every window with its tick.
#[must_use]
pub fn windows(records: &[Record]) -> Vec<(u32, Window)> {
    let mut all = Vec::new();
    for record in records {
        let Record::Windows(record) = record else { continue };
        let mut tick = record.start.0;
        for (count, window) in record.runs() {
            all.extend((tick..tick + u32::from(count)).map(|t| (t, window)));
            tick += u32::from(count);
        }
    }
    all
}

/// Why the log was opened, each time.
#[must_use]
pub fn opened(records: &[Record]) -> Vec<OpenReason> {
    records.iter().filter_map(|r| if let Record::Opened(o) = r { Some(o.reason) } else { None }).collect()
}

/// What `firmware/core` makes natively of the same samples, up to the tick where the log was closed.
///
/// # Panics
/// Never: the label is short.
#[must_use]
pub fn native(blocks: &[Block], offset: usize, end: Tick, full: Full) -> Vec<Record> {
    let mut records = Vec::new();
    let calibration = Calibration::NOMINAL;
    let arming = Arming { logger: 0, calibration, full, label: "flat 3".try_into().unwrap() };
    let mut logger = Logger::open(arming, Tick(0), OpenReason::Armed, |r| records.push(r));
    for block in blocks.iter().cycle().skip(offset).take(end.0 as usize) {
        logger.window(block, |r| records.push(r));
    }
    logger.close(CloseReason::Stopped, |r| records.push(r));
    records
}

/// Where the log ends.
///
/// # Panics
/// When it is not closed.
#[must_use]
pub fn closed(records: &[Record]) -> Tick {
    match records.last() {
        Some(Record::Closed(closed)) => closed.tick,
        other => panic!("the log ends with {other:?}"),
    }
}

/// Nothing was asked of the flash that a chip would not do.
///
/// # Panics
/// When the flash chip was asked for something that none would take.
pub fn sound(facts: &Value) {
    assert_eq!(facts["violations"], json!([]), "what no flash chip would take");
}
