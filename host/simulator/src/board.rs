//! The board: the real `firmware/core`, run natively on simulated samples, writing into simulated flash.

use std::sync::mpsc::{SyncSender, sync_channel};

use embassy_futures::block_on;
use rand::rand_core::SeedableRng;
use serde::{Deserialize, Serialize};
use tubtrace_core::metering::Calibration;
use tubtrace_core::{Arming, BLOCK, Block, CHANNELS, Full, Logger, Ring, RingError, WINDOW};
use tubtrace_protocol::{CloseReason, OpenReason, Record, Tick};
use tubtrace_units::Seconds;

use crate::machine::{Doing, Fault, Machine, STEP, programme};
use crate::nor_flash::{FlashError, RamFlash};
use crate::random::Random;
use crate::scenario::Night;
use crate::sensing::{Clips, SUB};
use crate::truth::{Truth, TruthCycle};

/// 16 MiB of flash in sectors of 4 KiB.
const SECTORS: usize = 4_096;

/// What the board was given in one second.
#[derive(Debug)]
pub struct Second {
    /// The samples of its ten windows.
    pub blocks: [Block; Tick::PER_SECOND as usize],
    /// The thermistors' codes at its beginning: supply, drain.
    pub thermistors: [i16; 2],
}

/// What the board would be given in the first `seconds` of a night, for a board that is not ours to run.
#[must_use]
pub fn samples(night: &Night, seconds: usize) -> Vec<Second> {
    let mut all = Vec::with_capacity(seconds);
    each_second(night, |second| {
        all.push(second);
        all.len() < seconds
    });
    all
}

/// The same second by second, for as long as `take` wants more.
pub fn each_second(night: &Night, mut take: impl FnMut(Second) -> bool) {
    let (send, receive) = sync_channel::<Box<Second>>(8);
    std::thread::scope(|scope| {
        scope.spawn(move || live(night, &send));
        for second in receive {
            if !take(*second) {
                break;
            }
        }
    });
}

/// What a night left behind.
#[derive(Debug, Serialize, Deserialize)]
pub struct Recording {
    /// The frames in the flash, oldest first: a `.tub` log.
    pub log: Vec<u8>,
    /// What the machine really did, which nothing that detects may see.
    pub truth: Truth,
}

/// Lives through a night and reads the flash. The machine and its clips run beside the board, on a thread of their
/// own. `progress` hears the seconds that have passed.
///
/// # Errors
/// When the flash is full or broken.
pub fn record(
    night: &Night,
    start_unix_ms: i64,
    mut progress: impl FnMut(Seconds),
) -> Result<Recording, RingError<FlashError>> {
    // Not generic, so that all of it is compiled here, where it is optimised, and not in whatever crate calls it.
    record_night(night, start_unix_ms, &mut progress)
}

fn record_night(
    night: &Night,
    start_unix_ms: i64,
    progress: &mut dyn FnMut(Seconds),
) -> Result<Recording, RingError<FlashError>> {
    // A few seconds of samples between the two; more would only take memory.
    let (send, receive) = sync_channel::<Box<Second>>(8);
    std::thread::scope(|scope| {
        let kitchen = scope.spawn(move || live(night, &send));
        let flash = RamFlash::new(SECTORS);
        let size = flash.size();
        let mut ring = Ring::open(flash, 0..size, Full::Stop)?;
        let mut result = Ok(());
        let mut keep = |record: Record| {
            if result.is_ok() {
                result = block_on(ring.append(&record));
            }
        };

        let label = "demo kitchen".try_into().unwrap_or_default();
        let arming =
            Arming { logger: night.seed as u32, calibration: Calibration::NOMINAL, full: Full::Stop, label };
        let mut logger = Logger::open(arming, Tick(0), OpenReason::Armed, &mut keep);
        logger.anchor(start_unix_ms, 0, &mut keep);
        for second in receive {
            logger.temperatures(second.thermistors, &mut keep);
            for block in &second.blocks {
                logger.window(block, &mut keep);
            }
            progress(Seconds(f64::from(logger.tick().0) / f64::from(Tick::PER_SECOND)));
        }
        // A kitchen that ends before its night ends with the battery.
        let planned = night.plans.iter().any(|p| p.trouble.is_some_and(|t| t.fault == Fault::BatteryDied));
        logger.close(if planned { CloseReason::Battery } else { CloseReason::Stopped }, &mut keep);
        result?;

        let mut log = Vec::new();
        block_on(ring.read(|frame| log.extend_from_slice(frame)))?;
        // The thread ends when the night does; it has nothing to panic about, and if it did, so must we.
        let truth = kitchen.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        Ok(Recording { log, truth })
    })
}

/// The kitchen's side: runs the plans one after the other and sends the samples.
fn live(night: &Night, send: &SyncSender<Box<Second>>) -> Truth {
    let mut random = Random::seed_from_u64(night.seed);
    let mut kitchen = Kitchen {
        clips: Clips::new(&night.appliance, &mut random),
        machine: Machine::new(night.appliance.clone()),
        truth: Truth::default(),
        steps: 0,
        gone: false,
        random,
        send,
    };
    for plan in &night.plans {
        kitchen.machine.set_trouble(plan.trouble, &mut kitchen.random);
        kitchen.clips.set_trouble(plan.trouble, &mut kitchen.random);
        kitchen.idle(plan.idle);
        let start = kitchen.now();
        let steps = programme(&night.appliance, &plan.adaptation, plan.trouble, &mut kitchen.random);
        kitchen.machine.start(steps);
        while !kitchen.machine.is_idle() && !kitchen.gone {
            kitchen.second();
        }
        // The last step ended within the last second: the truth's last busy interval says when.
        let busy = kitchen.truth.intervals.iter().rev().find(|i| i.doing != Doing::Idle);
        let end = busy.map_or(start, |i| i.end);
        let (trouble, adaptation) = (plan.trouble, plan.adaptation);
        kitchen.truth.cycles.push(TruthCycle { start, end, trouble, adaptation });
        if kitchen.clips.is_dead() || kitchen.gone {
            return kitchen.truth;
        }
    }
    kitchen.machine.set_trouble(None, &mut kitchen.random);
    kitchen.clips.set_trouble(None, &mut kitchen.random);
    kitchen.idle(night.rest);
    kitchen.truth
}

struct Kitchen<'a> {
    machine: Machine,
    clips: Clips,
    truth: Truth,
    steps: u64,
    /// Nobody listens any more.
    gone: bool,
    random: Random,
    send: &'a SyncSender<Box<Second>>,
}

impl Kitchen<'_> {
    fn now(&self) -> Seconds {
        STEP * self.steps as f64
    }

    fn idle(&mut self, time: Seconds) {
        for _ in 0..time.0.round() as u64 {
            if self.gone {
                return;
            }
            self.second();
        }
    }

    fn second(&mut self) {
        let mut second =
            Box::new(Second { blocks: [[0; BLOCK]; Tick::PER_SECOND as usize], thermistors: [0; 2] });
        for (w, block) in second.blocks.iter_mut().enumerate() {
            for (s, samples) in block.chunks_exact_mut(SUB * CHANNELS).enumerate() {
                let start = self.now();
                let moment = self.machine.advance(self.clips.volts(), &mut self.random);
                self.clips.feel(&moment, samples, &mut self.random);
                self.steps += 1;
                self.truth.note(self.machine.doing(), moment.loads, start, self.now());
                if w == 0 && s == 0 {
                    second.thermistors = self.clips.thermistors(&moment, &mut self.random);
                }
            }
        }
        // Without a battery nothing is recorded.
        if !self.clips.is_dead() {
            self.gone = self.send.send(second).is_err();
        }
    }
}

const _: () = assert!(WINDOW.is_multiple_of(SUB));
