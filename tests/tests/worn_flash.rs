//! Flash that is worn, and flash that lies: what is acknowledged can be read, what cannot be is not acknowledged, and what was
//! lost at rest is told.

use embassy_futures::block_on;
use rand::RngExt;
use rand::rand_core::SeedableRng;
use tubtrace_core::{Full, RingError, Storage};
use tubtrace_protocol::{Item, Reader, Record, Tick, Window, Windows};
use tubtrace_simulator::{FailingFlash, Random};

const SECTORS: usize = 12;
const SECTOR: u32 = 4_096;

/// Sectors of the ring: the rest is for the book and the memory.
const RING: u32 = SECTORS as u32 - 5;

fn record(i: u32) -> Record {
    let mut windows = Windows::new(Tick(i));
    for n in 0..(i % 9 + 1) as u16 {
        windows.push(n + 1, Window { rms: n * 997, supply: i as u16, ..Window::default() }).expect("so few");
    }
    Record::Windows(windows)
}

fn open(flash: FailingFlash) -> Storage<FailingFlash> {
    let size = flash.size();
    let mut storage = block_on(Storage::open(flash, size)).expect("it opens");
    storage.ring.set_full(Full::Overwrite);
    storage
}

/// What the ring gives: records, by number, and how much of it was damaged.
fn contents(storage: &mut Storage<FailingFlash>) -> (Vec<u32>, u32) {
    let (mut reader, mut records, mut damaged) = (Reader::default(), Vec::new(), 0);
    block_on(storage.ring.read(|frame| {
        reader.push(frame, |item| match item {
            Item::Record(Record::Windows(windows)) => {
                assert_eq!(
                    Record::Windows(windows.clone()),
                    record(windows.start.0),
                    "it is what was written"
                );
                records.push(windows.start.0);
            }
            _ => damaged += 1,
        });
    }))
    .expect("it can be read");
    (records, damaged)
}

/// Appends these records; gives those that were acknowledged.
fn append(storage: &mut Storage<FailingFlash>, records: std::ops::Range<u32>) -> Vec<u32> {
    let taken = |i: &u32| match block_on(storage.append(&record(*i))) {
        Ok(()) => true,
        Err(RingError::Worn) => false,
        Err(other) => panic!("{i}: {other:?}"),
    };
    records.filter(taken).collect()
}

#[test]
fn stuck_bits_cost_room_and_no_record() {
    for seed in 0..40 {
        let mut random = Random::seed_from_u64(seed);
        let mut flash = FailingFlash::new(SECTORS, seed);
        for _ in 0..25 {
            // Not in a sector's markers, of which a flash that loses them loses the sector.
            let offset = random.random_range(0..RING) * SECTOR + random.random_range(16..SECTOR - 16);
            flash.stick(offset, 1 << random.random_range(0..8));
        }
        let mut storage = open(flash);
        let acknowledged = append(&mut storage, 0..1_500);
        assert!(acknowledged.len() > 1_490, "seed {seed}: only {}", acknowledged.len());
        let (read, _) = contents(&mut storage);
        assert!(acknowledged.ends_with(&read), "seed {seed}: what is read is what was acknowledged last");
        // A ring of seven sectors without wear holds some 280 of them.
        assert!(read.len() > 150, "seed {seed}: {}", read.len());
        // And by a ring that knows nothing of it.
        let mut again = open(storage.ring.into_flash());
        assert_eq!(contents(&mut again).0, read, "seed {seed}");
    }
}

#[test]
fn a_sector_that_does_not_erase_is_no_place_to_be_acknowledged_from() {
    for sector in 0..RING {
        let mut storage = open(FailingFlash::new(SECTORS, 1));
        let before = append(&mut storage, 0..400);
        assert_eq!(before.len(), 400);
        let mut flash = storage.ring.into_flash();
        flash.wear_out(sector);
        let mut storage = open(flash);
        let acknowledged = append(&mut storage, 400..1_600);
        let (read, _) = contents(&mut storage);
        // Old records of the sector stay readable; of the new ones, whatever is read was acknowledged, and the newest are there.
        let new: Vec<u32> = read.iter().copied().filter(|i| *i >= 400).collect();
        assert!(acknowledged.ends_with(&new[new.len().saturating_sub(60)..]), "sector {sector}");
        assert!(new.len() > 100, "sector {sector}: {} of {}", new.len(), acknowledged.len());
        println!("sector {sector}: {} of 1200 refused", 1_200 - acknowledged.len());
    }
}

#[test]
fn bits_that_flip_at_rest_cost_the_frames_that_they_hit() {
    let mut flipped_all = 0;
    for seed in 0..60 {
        let mut random = Random::seed_from_u64(seed);
        let mut storage = open(FailingFlash::new(SECTORS, seed));
        let acknowledged = append(&mut storage, 0..250);
        let before = contents(&mut storage).0;
        assert_eq!(before, acknowledged);
        let mut flash = storage.ring.into_flash();
        let flips = random.random_range(1..20);
        flipped_all += flips;
        for _ in 0..flips {
            let offset = random.random_range(0..RING) * SECTOR + random.random_range(16..SECTOR - 16);
            flash.flip(offset, random.random_range(0..8));
        }
        let mut storage = open(flash);
        let (read, _) = contents(&mut storage);
        let lost = before.iter().filter(|i| !read.contains(i)).count();
        assert!(lost <= flips as usize, "seed {seed}: {lost} lost by {flips} flips");
        assert!(read.is_sorted(), "seed {seed}");
        // It goes on, and what is written is there.
        let more = append(&mut storage, 1_000..1_020);
        assert!(contents(&mut storage).0.ends_with(&more), "seed {seed}");
    }
    println!("{flipped_all} bits flipped");
}

/// A year of use: the ring is written through in order, and the memory's sectors in turn.
#[test]
fn wear_is_even() {
    let mut storage = open(FailingFlash::new(SECTORS, 3));
    append(&mut storage, 0..20_000);
    let flash = storage.ring.into_flash();
    let ring = &flash.erased()[..RING as usize];
    let (least, most) = (ring.iter().min().expect("sectors"), ring.iter().max().expect("sectors"));
    assert!(most - least <= 1 && *least > 20, "{ring:?}");
}
