//! The ring in a flash that can die at any byte.

use embassy_futures::block_on;
use proptest::prelude::*;
use tubtrace_core::{Full, Ring, RingError};
use tubtrace_protocol::{Item, Mark, Reader, Record, Tick, Window, Windows};
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
