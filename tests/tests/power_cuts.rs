//! The power goes in every operation of a recording, before it, in its middle and after it: everything that was acknowledged
//! is read back, at most the record in hand is lost, and recording goes on.

use embassy_futures::block_on;
use tubtrace_core::{Full, Memory, RingError, Storage};
use tubtrace_protocol::{Item, Label, Mark, Reader, Record, Tick, Window, Windows};
use tubtrace_simulator::{Cut, FailingFlash, FlashError};

/// Three sectors of log, one for the book of erasures and four of memory: the ring goes round many times.
const SECTORS: usize = 8;

/// Records that are written, and after how many each the memory is.
const RECORDS: u32 = 900;
const REMEMBER_EVERY: u32 = 5;

/// Records of several sizes, told apart by their number.
fn record(i: u32) -> Record {
    if i.is_multiple_of(4) {
        return Record::Mark(Mark { tick: Tick(i) });
    }
    let mut windows = Windows::new(Tick(i));
    for n in 0..(i % 13 + 1) as u16 {
        windows.push(n + 1, Window { rms: n * 997, supply: i as u16, ..Window::default() }).expect("so few");
    }
    Record::Windows(windows)
}

fn memory(i: u32) -> Memory {
    let label: Label = "power cuts".try_into().expect("a short label");
    Memory {
        logger: 7,
        recording: true,
        reserved: Tick(i),
        microamps_per_count: 16_113,
        full: Full::Overwrite,
        label,
    }
}

/// What was acknowledged before the power went.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Acknowledged {
    records: u32,
    remembered: Option<u32>,
}

type Chip = Storage<FailingFlash>;

fn open(flash: FailingFlash) -> Result<Chip, RingError<FlashError>> {
    let size = flash.size();
    let mut storage = block_on(Storage::open(flash, size))?;
    storage.ring.set_full(Full::Overwrite);
    Ok(storage)
}

/// Records until the power goes, or to the end; and the chip.
fn record_until_cut(flash: FailingFlash) -> (Acknowledged, FailingFlash) {
    let mut acknowledged = Acknowledged::default();
    let mut storage = open(flash).expect("an erased chip");
    let mut work = || -> Result<(), RingError<FlashError>> {
        while acknowledged.records < RECORDS {
            let next = acknowledged.records;
            if next.is_multiple_of(REMEMBER_EVERY) && acknowledged.remembered != Some(next) {
                block_on(storage.remember(&memory(next)))?;
                acknowledged.remembered = Some(next);
            }
            block_on(storage.append(&record(next)))?;
            acknowledged.records += 1;
        }
        Ok(())
    };
    match work() {
        Ok(()) | Err(RingError::Flash(FlashError::PowerCut)) => {}
        Err(other) => panic!("{other:?}"),
    }
    (acknowledged, storage.ring.into_flash())
}

fn contents(storage: &mut Chip) -> Vec<Record> {
    let (mut reader, mut records) = (Reader::default(), Vec::new());
    block_on(storage.ring.read(|frame| {
        reader.push(frame, |item| match item {
            Item::Record(record) => records.push(record),
            other => panic!("the ring gave {other:?}"),
        });
    }))
    .expect("the ring can be read");
    records
}

fn survives(cut: Cut, operation: u32) {
    let mut flash = FailingFlash::new(SECTORS, u64::from(operation));
    flash.cut_in(operation, cut);
    let (acknowledged, mut flash) = record_until_cut(flash);
    flash.power_up();
    let what = format!("cut {cut:?} operation {operation}, {acknowledged:?}");

    let mut storage = open(flash).unwrap_or_else(|e| panic!("{what}: {e:?}"));
    let after = contents(&mut storage);
    // The record in hand may be there whole, or not at all.
    let has_next = after.last() == Some(&record(acknowledged.records));
    let newest = acknowledged.records + u32::from(has_next);
    let oldest = newest - after.len() as u32;
    assert!(after.iter().zip(oldest..).all(|(r, i)| *r == record(i)), "{what}: not {oldest} to {newest}");
    // A sector in three may just have been let go, and one may be in hand.
    assert!(after.len() as u32 >= acknowledged.records.min(40), "{what}: only {}", after.len());

    let remembered = block_on(storage.recall()).unwrap_or_else(|e| panic!("{what}: {e:?}"));
    let remembered = remembered.map(|m| m.reserved.0);
    let in_hand = Some(acknowledged.records).filter(|n| n.is_multiple_of(REMEMBER_EVERY));
    assert!(
        remembered == acknowledged.remembered || (remembered.is_some() && remembered == in_hand),
        "{what}: remembers {remembered:?}"
    );

    storage.ring.set_full(Full::Overwrite);
    for i in 10_000..10_012 {
        block_on(storage.append(&record(i))).unwrap_or_else(|e| panic!("{what}: {e:?}"));
    }
    block_on(storage.remember(&memory(10_000))).unwrap_or_else(|e| panic!("{what}: {e:?}"));
    let read = contents(&mut storage);
    let (old, new) = read.split_at(read.len() - 12);
    let ticks: Vec<u32> = read
        .iter()
        .rev()
        .take(20)
        .map(|r| match r {
            Record::Mark(m) => m.tick.0,
            Record::Windows(w) => w.start.0,
            _ => 0,
        })
        .collect();
    assert!(
        new.iter().zip(10_000..).all(|(r, i)| *r == record(i)),
        "{what}: what came after is not there {ticks:?}"
    );
    assert!(after.ends_with(old), "{what}: what was there before is not");
    assert_eq!(block_on(storage.recall()).expect("it can").map(|m| m.reserved.0), Some(10_000), "{what}");
}

#[test]
fn in_every_operation() {
    let (acknowledged, flash) = record_until_cut(FailingFlash::new(SECTORS, 0));
    assert_eq!(acknowledged.records, RECORDS);
    let operations = flash.operations();
    assert!(operations >= 2_000, "{operations} operations");
    let cores = std::thread::available_parallelism().map_or(1, usize::from) as u32;
    std::thread::scope(|scope| {
        for core in 0..cores {
            scope.spawn(move || {
                for operation in (core..operations).step_by(cores as usize) {
                    for cut in [Cut::Before, Cut::During, Cut::After] {
                        survives(cut, operation);
                    }
                }
            });
        }
    });
    println!("{} cuts in {operations} operations", 3 * operations);
}
