//! Reads of a chip that holds much, while it is counted and while recording goes on.

use std::cell::Cell;
use std::rc::Rc;
use std::time::Duration;

use embassy_futures::block_on;
use tubtrace_core::Storage;
use tubtrace_core::link::{Gone, Outlet};
use tubtrace_protocol::{
    Cursor, Full, MAX_FRAME, Mark, Panic, Record, Reply, Request, Tick, check_of, decode_reply, encode,
};
use tubtrace_simulator::{RamFlash, Reads};
use tubtrace_tests::bench::board;

use crate::used::{POWER, Used, restless};

/// A host that measures how long the board reads its flash between two words, and lets something happen with some of them.
struct Watcher<H: FnMut(usize)> {
    reads: Rc<Cell<Reads>>,
    between: Vec<Reads>,
    heard: Vec<Vec<u8>>,
    meanwhile: H,
}

impl<H: FnMut(usize)> Watcher<H> {
    fn of(flash: &RamFlash, meanwhile: H) -> Self {
        Self { reads: flash.counter(), between: Vec::new(), heard: Vec::new(), meanwhile }
    }

    /// The replies and the frames that it heard.
    fn sorted(self) -> (Vec<Reply>, Vec<Vec<u8>>) {
        let reply = |bytes: &Vec<u8>| decode_reply(&bytes[..bytes.len() - 1]).ok()?;
        let (replies, frames): (Vec<_>, Vec<_>) = self.heard.into_iter().partition(|b| reply(b).is_some());
        (replies.iter().filter_map(reply).collect(), frames)
    }
}

impl<H: FnMut(usize)> Outlet for Watcher<H> {
    async fn send(&mut self, bytes: &[u8]) -> Result<(), Gone> {
        self.between.push(self.reads.take());
        self.heard.push(bytes.to_vec());
        (self.meanwhile)(self.heard.len());
        Ok(())
    }

    async fn pause(&mut self) {
        embassy_futures::yield_now().await;
    }
}

/// Writes records until the chip is so full, or says that it is.
fn filled(flash: RamFlash, parts: f64, record: impl Fn(u32) -> Record) -> (RamFlash, u32) {
    let size = flash.size();
    let mut storage = block_on(Storage::open(flash, size)).unwrap();
    let enough = f64::from(storage.ring.capacity()) * parts;
    let more =
        |i: &u32| f64::from(storage.ring.used()) < enough && block_on(storage.append(&record(*i))).is_ok();
    let count = (0..).take_while(more).count();
    (storage.ring.into_flash(), count as u32)
}

fn mark(i: u32) -> Record {
    Record::Mark(Mark { tick: Tick(i) })
}

fn long(i: u32) -> Record {
    let message = "x".repeat(96).as_str().try_into().unwrap();
    Record::Panic(Panic { tick: Tick(i), message })
}

/// The shortest frames take longest to count: so many come first, and when the logger has just started nothing was counted.
#[test]
fn a_read_of_a_full_chip_just_started_says_that_it_works_and_comes_to_an_end() {
    let mixed = |i| if i < 200_000 { mark(i) } else { long(i) };
    let (flash, count) = filled(RamFlash::new(4_096), 1.0, mixed);
    let mut watcher = Watcher::of(&flash, |_| {});
    board(flash, POWER, |bench| {
        watcher.reads.take();
        let mut buffer = [0; MAX_FRAME];
        let mut frame = |i| encode(&mixed(i), &mut buffer).unwrap().to_vec();
        let last = frame(count - 4);
        let cursor = Cursor { frames: count - 3, check: check_of(&last[..last.len() - 1]).unwrap() };
        block_on(bench.handler.answer(Request::Read(cursor), &mut watcher)).unwrap();
        let longest = watcher.between.iter().map(|r| r.time()).max().unwrap();
        assert!(longest < Duration::from_secs(1), "silent for {longest:?}");
        let (mut replies, frames) = watcher.sorted();
        assert_eq!(frames, [frame(count - 3), frame(count - 2), frame(count - 1)]);
        assert!(matches!(replies.pop(), Some(Reply::End { cursor }) if cursor.frames == count));
        let share = |r: &Reply| if let Reply::Working { permille } = r { *permille } else { panic!("{r:?}") };
        let shares: Vec<u16> = replies.iter().map(share).collect();
        assert!(shares.len() > 10 && shares.is_sorted() && shares.iter().all(|s| *s < 1_000), "{shares:?}");
    });
}

#[test]
fn a_read_that_recording_interrupts_ten_times_reads_little_twice() {
    let (flash, ()) = board(RamFlash::new(512), POWER, |bench| {
        bench.arm(Full::Stop);
    });
    let (flash, count) = filled(flash, 0.7, long);
    let reads = flash.counter();
    board(flash.clone(), POWER, |bench| {
        let whole = bench.read(&mut Cursor::default(), None);
        reads.take();
        assert_eq!(bench.read(&mut Cursor::default(), None), whole);
        let at_once = reads.take().bytes;

        let station = bench.station;
        let (mut n, mut interrupted) = (0, 0);
        let step = whole.len() / 11;
        let mut watcher = Watcher::of(&flash, |heard| {
            if heard.is_multiple_of(step) && interrupted < 10 {
                interrupted += 1;
                while !station.borrow().pressing() {
                    station.borrow_mut().window(&restless(n));
                    n += 1;
                }
            }
        });
        block_on(bench.handler.answer(Request::Read(Cursor::default()), &mut watcher)).unwrap();
        let took = watcher.between.iter().map(|r| r.bytes).sum::<u64>() + reads.take().bytes;
        let (replies, frames) = watcher.sorted();
        assert_eq!(interrupted, 10);
        assert!(matches!(replies[..], [Reply::End { cursor }] if cursor.frames as usize == frames.len()));
        assert_eq!(frames[..whole.len()], whole);
        let written: usize = frames[whole.len()..].iter().map(Vec::len).sum();
        let again = bench.read(&mut Cursor::default(), None);
        assert_eq!(again[..frames.len()], frames, "what came meanwhile is there too, in order");
        // What is recorded meanwhile is read back when it is written, and read again to be sent; what is sent goes on within a
        // sector, and where the oldest frame is is looked up.
        let most = at_once + 2 * written as u64 + interrupted * 2 * 4_096;
        assert!(took <= most, "of {count} frames {at_once} bytes at once, {took} so, {written} of them new");
    });
}
