//! Weeks of a logger's life on its own code: cycles, resets, clocks that are set, presses, full reads and interrupted ones. What
//! was fed to it is counted against what can be read back, and what is missing must be explained by the log itself.

use std::collections::BTreeSet;

use rand::RngExt;
use rand::rand_core::SeedableRng;
use tubtrace_core::{Block, Start};
use tubtrace_protocol::{Arm, Cursor, Full, HostClock, Item, OpenReason, Reader, Record, Reply, Request};
use tubtrace_simulator::board::samples;
use tubtrace_simulator::machine::Appliance;
use tubtrace_simulator::scenario::Night;
use tubtrace_simulator::{RamFlash, Random};
use tubtrace_units::Seconds;

use crate::bench::{Bench, board};

/// 16 MiB in sectors of 4 KiB.
const SECTORS: usize = 4_096;

/// A fresh log, once the last one was read, every so many days.
const LOG_DAYS: u32 = 5;

/// What came of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Totals {
    /// Windows of samples that the powered logger was given while it recorded.
    pub given: u64,
    /// Of these, read back.
    pub read_back: u64,
    /// Not read back, and told by a record of loss.
    pub told_lost: u64,
    /// Not read back, for the power went while they were in the logger's hands.
    pub in_hand: u64,
    /// Times the power went, or the watchdog bit.
    pub resets: u32,
    /// Reads that were interrupted, and reads to the end.
    pub reads: (u32, u32),
    /// Presses, and those that are in the logs.
    pub presses: (u32, u32),
    /// The most that one reset took.
    pub most_in_hand: u64,
    /// Bytes that were read.
    pub bytes: u64,
}

impl Totals {
    /// Windows that are missing and that nothing explains.
    #[must_use]
    pub const fn unexplained(&self) -> u64 {
        self.given - self.read_back - self.told_lost - self.in_hand
    }
}

/// Lives through so many days.
///
/// # Panics
/// When the logger refuses what it should do.
#[must_use]
pub fn live_days(days: u32, seed: u64, mut progress: impl FnMut(u32)) -> Totals {
    let mut life = Life::new(seed);
    for day in 0..days {
        if day % LOG_DAYS == 0 {
            life.begin_log();
        }
        life.day();
        progress(day + 1);
        if day % LOG_DAYS == LOG_DAYS - 1 || day + 1 == days {
            life.end_log();
        }
    }
    life.totals
}

/// A stretch with power while it recorded: the first tick, and how many windows were given.
type Stretch = (u32, u32);

struct Life {
    random: Random,
    /// Ten minutes of a machine that washes, and a minute of one that does not.
    washing: Vec<Block>,
    idle: Vec<Block>,
    flash: Option<RamFlash>,
    /// Milliseconds of the host's clock.
    clock: i64,
    /// Of the log that is recorded: stretches, and the file as the host has it.
    stretches: Vec<Stretch>,
    file: Vec<u8>,
    cursor: Cursor,
    presses: u32,
    totals: Totals,
}

impl Life {
    fn new(seed: u64) -> Self {
        let mut night = Night::healthy(seed, Appliance::on_120_volts(), 1);
        night.plans[0].idle = Seconds(60.0);
        let blocks = |seconds: &[tubtrace_simulator::board::Second]| -> Vec<Block> {
            seconds.iter().flat_map(|s| s.blocks).collect()
        };
        let lived = samples(&night, 1_260);
        Self {
            random: Random::seed_from_u64(seed),
            idle: blocks(&lived[..60]),
            washing: blocks(&lived[60..]),
            flash: Some(RamFlash::new(SECTORS)),
            clock: 1_800_000_000_000,
            stretches: Vec::new(),
            file: Vec::new(),
            cursor: Cursor::default(),
            presses: 0,
            totals: Totals::default(),
        }
    }

    /// Runs `what` on a board that starts from the flash, then takes the power away.
    fn powered<T>(&mut self, reason: OpenReason, what: impl FnOnce(&mut Self, &mut Bench) -> T) -> T {
        let flash = self.flash.take().expect("the board is off");
        let (flash, result) = board(flash, Start { reason, panic: None }, |bench| what(self, bench));
        self.flash = Some(flash);
        result
    }

    fn begin_log(&mut self) {
        let clock = self.host_clock();
        let (label, full) = ("life".try_into().expect("short"), Full::Stop);
        let arm = Arm { clock, label, microamps_per_count: 16_113, full };
        self.powered(OpenReason::Power, |_, board| assert_eq!(board.ask(Request::Arm(arm)), Reply::Done));
        (self.stretches, self.file, self.cursor) = (Vec::new(), Vec::new(), Cursor::default());
    }

    fn host_clock(&self) -> HostClock {
        HostClock { unix_ms: self.clock, offset_minutes: 60 }
    }

    /// A day: two or three stretches with power, in each of which the machine washes, or does not.
    fn day(&mut self) {
        let mut left: u32 = 864_000;
        while left > 0 {
            let windows = self.random.random_range(100_000..600_000).min(left);
            let watchdog = self.random.random_bool(0.3);
            let reason = if watchdog { OpenReason::Watchdog } else { OpenReason::Power };
            self.powered(reason, |life, board| life.stretch(board, windows));
            self.totals.resets += 1;
            left -= windows;
            // Off for a while; and now and then somebody sets the computer's clock.
            let off = self.random.random_range(1_000..600_000);
            let set = if self.random.random_bool(0.1) {
                self.random.random_range(-7_200_000..7_200_000)
            } else {
                0
            };
            self.clock += i64::from(windows) * 100 + off + set;
        }
    }

    fn stretch(&mut self, board: &mut Bench, windows: u32) {
        let first = board.station.borrow().status().tick.0;
        let washes_from = self.random.random_range(0..windows);
        let washes_to = (washes_from + 54_000).min(windows);
        for n in 0..windows {
            let washes = (washes_from..washes_to).contains(&n);
            let blocks = if washes { &self.washing } else { &self.idle };
            board.give(&blocks[n as usize % blocks.len()], n);
            if n % 50_000 == 49_999 {
                self.visit(board);
            }
        }
        self.stretches.push((first, windows));
        self.totals.given += u64::from(windows);
    }

    /// Somebody comes by: presses the button, plugs in, reads a little or all of it.
    fn visit(&mut self, board: &mut Bench) {
        if self.random.random_bool(0.3) {
            board.station.borrow_mut().button();
            self.presses += 1;
        }
        if self.random.random_bool(0.3) {
            assert_eq!(board.ask(Request::Anchor(self.host_clock())), Reply::Done);
        }
        if self.random.random_bool(0.2) {
            let patience = self.random.random_bool(0.5).then(|| self.random.random_range(0..400));
            self.read(board, patience);
        }
    }

    /// Reads on from where the file ends, until the end or until the cable is pulled.
    fn read(&mut self, board: &mut Bench, patience: Option<usize>) {
        let (frames, whole) = board.read_on(&mut self.cursor, patience);
        frames.iter().for_each(|frame| self.file.extend_from_slice(frame));
        let reads = &mut self.totals.reads;
        if whole { reads.1 += 1 } else { reads.0 += 1 }
    }

    /// Stops the log, reads the rest, counts, and erases.
    fn end_log(&mut self) {
        self.powered(OpenReason::Power, |life, board| {
            assert_eq!(board.ask(Request::Stop), Reply::Done);
            life.read(board, None);
            let token = board.status().erase_token;
            assert_eq!(board.ask(Request::Erase { token }), Reply::Done);
        });
        self.count();
    }

    fn count(&mut self) {
        let (mut held, mut lost, mut marks) = (BTreeSet::new(), BTreeSet::new(), 0);
        let mut take = |item: Item| match item {
            Item::Record(Record::Windows(w)) => held.extend(w.start.0..w.start.0 + w.len()),
            Item::Record(Record::Loss(l)) => lost.extend(l.first.0..l.first.0 + l.windows),
            Item::Record(Record::Mark(_)) => marks += 1,
            Item::Record(_) => {}
            other => panic!("the file holds {other:?}"),
        };
        let mut reader = Reader::default();
        reader.push(&self.file, &mut take);
        reader.finish(&mut take);
        for &(first, given) in &self.stretches {
            let ticks = || first..first + given;
            let covered = ticks().filter(|t| held.contains(t)).count() as u64;
            // In the logger's hands are the last ones, without anything after them.
            let last = ticks().rev().find(|t| held.contains(t) || lost.contains(t)).map_or(first, |t| t + 1);
            let in_hand = u64::from(first + given - last);
            self.totals.read_back += covered;
            self.totals.told_lost += ticks().filter(|t| lost.contains(t) && !held.contains(t)).count() as u64;
            self.totals.in_hand += in_hand;
            self.totals.most_in_hand = self.totals.most_in_hand.max(in_hand);
        }
        let pressed = std::mem::take(&mut self.presses);
        self.totals.presses = (self.totals.presses.0 + pressed, self.totals.presses.1 + marks);
        self.totals.bytes += self.file.len() as u64;
    }
}
