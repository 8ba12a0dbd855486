//! What the tests of the link do with a board, and what they give it.

use tubtrace_core::{BLOCK, Block, Start};
use tubtrace_protocol::{Arm, Cursor, Full, HostClock, Item, OpenReason, Reader, Record, Reply, Request};
use tubtrace_tests::bench::Bench;

pub const CLOCK: HostClock = HostClock { unix_ms: 1_800_000_000_000, offset_minutes: 60 };
pub const POWER: Start = Start { reason: OpenReason::Power, panic: None };

/// A mains current of about 5 A with a battery of 4.5 V.
pub fn block(n: u32) -> Block {
    let mut block = [0; BLOCK];
    for (i, four) in block.chunks_exact_mut(4).enumerate() {
        let wave = (std::f64::consts::TAU * 60.0 * i as f64 / 4_800.0).sin();
        let knock = if i % 3 == 0 { 40 } else { 0 };
        four.copy_from_slice(&[
            (2_048.0 + 400.0 * wave) as u16 + (n % 7) as u16,
            2_048 + knock,
            2_048,
            1_862,
        ]);
    }
    block
}

/// A current that changes with every window, so that each costs its place in the log.
pub fn restless(n: u32) -> Block {
    let mut block = block(0);
    let part = 1 + i32::from(n.is_multiple_of(2)) + (n % 5) as i32;
    for sample in block.iter_mut().step_by(4) {
        *sample = (2_048 + (i32::from(*sample) - 2_048) * part / 2) as u16;
    }
    block
}

/// What these tests do with a board.
pub trait Used {
    fn run(&mut self, windows: u32);
    fn arm(&mut self, full: Full) -> Reply;
    fn read(&mut self, cursor: &mut Cursor, patience: Option<usize>) -> Vec<Vec<u8>>;
}

impl Used for Bench<'_> {
    fn run(&mut self, windows: u32) {
        for n in 0..windows {
            self.give(&block(n), n);
        }
    }

    fn arm(&mut self, full: Full) -> Reply {
        let label = "flat 3".try_into().unwrap();
        self.ask(Request::Arm(Arm { clock: CLOCK, label, microamps_per_count: 16_113, full }))
    }

    /// Reads until the end, or until the cable is pulled before it.
    fn read(&mut self, cursor: &mut Cursor, patience: Option<usize>) -> Vec<Vec<u8>> {
        let (frames, whole) = self.read_on(cursor, patience);
        assert_eq!(!whole, patience.is_some());
        frames
    }
}

pub fn records(frames: &[Vec<u8>]) -> Vec<Record> {
    let mut records = Vec::new();
    Reader::default().push(&frames.concat(), |item| match item {
        Item::Record(record) => records.push(record),
        other => panic!("{other:?}"),
    });
    records
}

pub fn windows(records: &[Record]) -> u32 {
    records.iter().map(|r| if let Record::Windows(w) = r { w.len() } else { 0 }).sum()
}
