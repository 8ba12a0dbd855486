//! The ring in a flash that can die at any byte.

use std::ops::ControlFlow;
use std::time::Duration;

use embassy_futures::block_on;
use proptest::prelude::*;
use tubtrace_core::{Full, Ring, RingError};
use tubtrace_protocol::{
    Cursor, Item, MAX_FRAME, Mark, Panic, Reader, Record, Tick, Window, Windows, check_of, encode,
};
use tubtrace_simulator::{FlashError, RamFlash};

/// Records of two sizes, told apart by their number.
fn record(i: u32) -> Record {
    if i.is_multiple_of(3) {
        return Record::Mark(Mark { tick: Tick(i) });
    }
    let mut windows = Windows::new(Tick(i));
    for n in 0..(i % 11 + 1) as u16 {
        windows.push(n + 1, Window { rms: n * 997, supply: i as u16, ..Window::default() }).unwrap();
    }
    Record::Windows(windows)
}

fn open(flash: RamFlash, full: Full) -> Ring<RamFlash> {
    let size = flash.size();
    Ring::open(flash, 0..size, full).unwrap()
}

fn contents(ring: &mut Ring<RamFlash>) -> Vec<Record> {
    let (mut reader, mut records) = (Reader::default(), Vec::new());
    block_on(ring.read(|frame| {
        reader.push(frame, |item| match item {
            Item::Record(record) => records.push(record),
            other => panic!("the ring gave {other:?}"),
        });
    }))
    .unwrap();
    records
}

#[test]
fn what_is_appended_is_read_in_order() {
    let mut ring = open(RamFlash::new(8), Full::Stop);
    let records: Vec<Record> = (0..120).map(record).collect();
    for record in &records {
        block_on(ring.append(record)).unwrap();
    }
    assert_eq!(contents(&mut ring), records);
    // And after a restart, by a ring that knows nothing.
    assert_eq!(contents(&mut open(ring.into_flash(), Full::Stop)), records);
}

#[test]
fn a_full_ring_stops_or_lets_the_oldest_go_as_told() {
    let mut stop = open(RamFlash::new(3), Full::Stop);
    let kept = (0..).take_while(|&i| block_on(stop.append(&record(i))) != Err(RingError::Full)).count();
    assert!(kept > 100);
    assert_eq!(contents(&mut stop), (0..kept as u32).map(record).collect::<Vec<_>>());

    let mut overwrite = open(RamFlash::new(3), Full::Overwrite);
    let last = 3 * kept as u32;
    (0..last).for_each(|i| block_on(overwrite.append(&record(i))).unwrap());
    let left = contents(&mut overwrite);
    assert!(left.len() > kept / 3);
    assert_eq!(left, (last - left.len() as u32..last).map(record).collect::<Vec<_>>());
}

#[test]
fn a_range_that_is_no_whole_sectors_is_refused() {
    assert!(matches!(Ring::open(RamFlash::new(3), 5..8_192, Full::Stop), Err(RingError::Range)));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Power goes after any byte, in a fresh ring and in one that goes round: every acknowledged record is read back, at
    /// most the record in hand is lost, and recording goes on.
    #[test]
    fn a_power_cut_at_any_byte_loses_at_most_the_record_in_hand(fuse in 0usize..60_000) {
        let mut flash = RamFlash::new(4);
        flash.set_fuse(Some(fuse));
        let mut ring = open(flash, Full::Overwrite);
        let mut acknowledged = 0;
        while acknowledged < 600 {
            match block_on(ring.append(&record(acknowledged))) {
                Ok(()) => acknowledged += 1,
                Err(RingError::Flash(FlashError::PowerCut)) => break,
                Err(other) => prop_assert!(false, "{:?}", other),
            }
        }

        let mut flash = ring.into_flash();
        flash.set_fuse(None);
        let mut ring = open(flash, Full::Overwrite);
        let after: Vec<Record> = contents(&mut ring);
        // The record in hand may be there whole, or not at all.
        let newest = if after.last() == Some(&record(acknowledged)) { acknowledged + 1 } else { acknowledged };
        let oldest = newest - after.len() as u32;
        prop_assert_eq!(&after, &(oldest..newest).map(record).collect::<Vec<_>>());
        // Sectors that were let go hold no more than a quarter each, and one may be in hand.
        prop_assert!(after.len() as u32 >= acknowledged.min(80), "{} of {}", after.len(), acknowledged);

        for i in 10_000..10_020 {
            block_on(ring.append(&record(i))).unwrap();
        }
        let mut expected: Vec<Record> = (10_000..10_020).map(record).collect();
        let read = contents(&mut ring);
        expected.splice(0..0, read[..read.len() - 20].iter().cloned());
        prop_assert_eq!(read, expected);
    }
}

/// Writes on with the record of number `from` until all of them fill so many parts of the ring: marks, the shortest frames, or ones
/// as long as windows in a burst. Gives how many there were.
fn fill(ring: &mut Ring<RamFlash>, long: bool, from: u32, parts: f64) -> u32 {
    let mut buffer = [0; MAX_FRAME];
    for i in from.. {
        let frame = encode(&sized(i, long), &mut buffer).unwrap();
        // Eight bytes of the queue's go before each.
        if f64::from(i) * (frame.len() + 8) as f64 > f64::from(ring.capacity()) * parts {
            return i;
        }
        block_on(ring.append_frame(frame)).unwrap();
    }
    unreachable!()
}

fn sized(i: u32, long: bool) -> Record {
    if long {
        let message = "x".repeat(96).as_str().try_into().unwrap();
        return Record::Panic(Panic { tick: Tick(i), message });
    }
    Record::Mark(Mark { tick: Tick(i) })
}

/// All frames, read naively from the beginning: their checks.
fn checks(ring: &mut Ring<RamFlash>) -> Vec<u32> {
    let mut checks = Vec::new();
    block_on(ring.read(|frame| checks.push(check_of(&frame[..frame.len() - 1]).unwrap()))).unwrap();
    checks
}

/// A second is what a person does not notice, and a fifth of what the host waits before it gives a logger up.
#[test]
fn resuming_anywhere_in_16_mib_takes_less_than_a_second() {
    for (long, parts) in [(false, [0.95, 1.05].as_slice()), (true, &[1.05])] {
        let mut ring = open(RamFlash::new(4_096), Full::Overwrite);
        let mut written = 0;
        for part in parts {
            written = fill(&mut ring, long, written, *part);
            let checks = checks(&mut ring);
            assert_eq!(checks.len() < written as usize, *part > 1.0, "it went round, or not");
            while block_on(ring.count_ahead()).unwrap() {}
            for frames in [2, checks.len() / 3, checks.len() / 2, checks.len() - 9_000, checks.len() - 3] {
                resumed(&mut ring, &checks, frames);
            }
        }
    }
}

fn resumed(ring: &mut Ring<RamFlash>, checks: &[u32], frames: usize) {
    let mut cursor = Cursor { frames: frames as u32, check: checks[frames - 1] };
    ring.chip().take_reads();
    let mut first = None;
    let found = block_on(ring.read_from(&mut cursor, async |frame| {
        first = check_of(&frame[..frame.len() - 1]).ok();
        ControlFlow::Break(())
    }));
    let took = ring.chip().take_reads().time();
    assert_eq!((found, first), (Ok(true), Some(checks[frames])));
    assert!(took.as_millis() < 1_000, "{frames} of {}: {took:?}", checks.len());
    // What another log has there is not taken for it.
    let mut foreign = Cursor { check: cursor.check ^ 1, ..cursor };
    assert_eq!(block_on(ring.read_from(&mut foreign, async |_| panic!())), Ok(false));
}

#[test]
fn ten_interruptions_of_one_read_cost_little() {
    let mut ring = open(RamFlash::new(4_096), Full::Overwrite);
    fill(&mut ring, true, 0, 1.05);
    let whole = checks(&mut ring);
    ring.chip().take_reads();
    assert_eq!(checks(&mut ring), whole);
    let at_once = ring.chip().take_reads().time();

    let (mut cursor, mut read, mut wrote) = (Cursor::default(), Vec::new(), 0);
    let mut took = Duration::ZERO;
    loop {
        let before = read.len();
        block_on(ring.read_from(&mut cursor, async |frame| {
            if wrote < 10 && read.len() == before + whole.len() / 12 {
                return ControlFlow::Break(());
            }
            read.push(check_of(&frame[..frame.len() - 1]).unwrap());
            ControlFlow::Continue(())
        }))
        .map(|found| assert!(found))
        .unwrap();
        took += ring.chip().take_reads().time();
        if wrote == 10 {
            break;
        }
        // So much is recorded meanwhile that the oldest sectors go.
        for i in 0..100 {
            block_on(ring.append(&sized(i, true))).unwrap();
        }
        // What writing reads back is no cost of reading.
        ring.chip().take_reads();
        wrote += 1;
    }
    assert_eq!(read[..whole.len()], whole);
    assert_eq!(read.len(), whole.len() + 1_000);
    assert!(took.as_secs_f64() < at_once.as_secs_f64() + 1.0, "{took:?} instead of {at_once:?}");
}

proptest! {
    /// Wherever reading begins, whatever was counted, written and let go before: it gives what reading from the beginning does.
    #[test]
    fn reading_from_anywhere_is_reading_on(
        sectors in 2usize..7, written in 0u32..900, more in 0u32..300, at in 0.0f64..1.0, ahead: bool, stop: bool,
    ) {
        let mut ring = open(RamFlash::new(sectors), if stop { Full::Stop } else { Full::Overwrite });
        let write = |ring: &mut Ring<RamFlash>, from: u32, to: u32| {
            for i in from..to {
                if block_on(ring.append(&record(i))).is_err() {
                    break;
                }
            }
        };
        write(&mut ring, 0, written);
        while ahead && block_on(ring.count_ahead()).unwrap() {}
        write(&mut ring, written, written + more);
        let all = checks(&mut ring);
        let frames = (all.len() as f64 * at) as usize;
        let check = frames.checked_sub(1).map_or(0, |last| all[last]);
        let mut cursor = Cursor { frames: frames as u32, check };
        let mut read = Vec::new();
        let found = block_on(ring.read_from(&mut cursor, async |frame| {
            read.push(check_of(&frame[..frame.len() - 1]).unwrap());
            ControlFlow::Continue(())
        }));
        prop_assert_eq!(found, Ok(true));
        prop_assert_eq!(&read, &all[frames..]);
        prop_assert_eq!(cursor.frames as usize, all.len());
        let mut beyond = Cursor { frames: all.len() as u32 + 1, check };
        prop_assert_eq!(block_on(ring.read_from(&mut beyond, async |_| ControlFlow::Continue(()))), Ok(false));
    }
}
