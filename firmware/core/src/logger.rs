//! The logger: everything between a window of samples and the records it makes of it.

use tubtrace_protocol::{
    Anchor, CloseReason, Closed, FORMAT, Full, Health, Label, Loss, LossCause, Mains, Mark, OpenReason,
    Opened, Record, Tick, VERSION, Window,
};

use crate::metering::{Calibration, MainsFinder, Pickup, measure, millivolts};
use crate::recording::{Bursts, FillDetector, TemperatureRecorder, WindowRecorder};
use crate::sampling::{BLOCK, Block, CHANNELS, Channel, at_end};
use crate::thermistor::celsius;

/// Health is recorded every ten minutes, and when the mains is found.
const HEALTH_EVERY: u32 = 6_000;

/// What a logger is told when it is armed.
#[derive(Clone, Debug)]
pub struct Arming {
    /// Serial number of the logger.
    pub logger: u32,
    /// The calibration of its current clamp.
    pub calibration: Calibration,
    /// What to do when the flash is full.
    pub full: Full,
    /// What the technician calls this log.
    pub label: Label,
}

/// Meters windows and decides what to keep. Hands every record to a sink; where it goes is the edge's business.
///
/// ```
/// use tubtrace_core::{Arming, BLOCK, Logger, metering::Calibration};
/// use tubtrace_protocol::{CloseReason, Full, OpenReason, Record, Tick};
///
/// let arming = Arming {
///     logger: 7,
///     calibration: Calibration::NOMINAL,
///     full: Full::Stop,
///     label: "flat 3".try_into().unwrap(),
/// };
/// let mut kinds = Vec::new();
/// let mut logger = Logger::open(arming, Tick(0), OpenReason::Armed, |record| kinds.push(record));
/// for _ in 0..600 {
///     logger.window(&[2_048; BLOCK], |record| kinds.push(record));
/// }
/// logger.close(CloseReason::Stopped, |record| kinds.push(record));
/// assert!(matches!(kinds.first(), Some(Record::Opened(_))));
/// assert!(matches!(kinds.last(), Some(Record::Closed(c)) if c.tick == Tick(600)));
/// ```
#[derive(Debug)]
pub struct Logger {
    calibration: Calibration,
    /// The window that comes next.
    tick: Tick,
    mains: MainsFinder,
    supply: Pickup,
    drain: Pickup,
    windows: WindowRecorder,
    temperatures: TemperatureRecorder,
    fills: FillDetector,
    bursts: Bursts,
    clipped: u16,
}

impl Logger {
    /// Opens a log, or the same log again after a reset, at `tick`.
    pub fn open(arming: Arming, tick: Tick, reason: OpenReason, mut sink: impl FnMut(Record)) -> Self {
        let microamps_per_count = arming.calibration.microamps_per_count();
        sink(Record::Opened(Opened {
            format: FORMAT,
            version: VERSION,
            tick,
            reason,
            logger: arming.logger,
            microamps_per_count,
            label: arming.label,
        }));
        Self { tick, ..Self::idle(arming.calibration) }
    }

    /// A logger that meters and has no log open.
    #[must_use]
    pub fn idle(calibration: Calibration) -> Self {
        Self {
            calibration,
            tick: Tick(0),
            mains: MainsFinder::default(),
            supply: Pickup::new(Channel::Supply),
            drain: Pickup::new(Channel::Drain),
            windows: WindowRecorder::default(),
            temperatures: TemperatureRecorder::default(),
            fills: FillDetector::default(),
            bursts: Bursts::default(),
            clipped: 0,
        }
    }

    /// The window that comes next.
    #[must_use]
    pub const fn tick(&self) -> Tick {
        self.tick
    }

    /// The mains as it finds it.
    #[must_use]
    pub const fn mains(&self) -> Mains {
        self.mains.mains()
    }

    /// Takes the next window of samples. Gives what it measured, for a live view.
    pub fn window(&mut self, block: &Block, mut sink: impl FnMut(Record)) -> Window {
        let tick = self.tick;
        let (current, bins) = measure(block, self.mains.mains(), self.calibration);
        let known = self.mains.mains();
        self.mains.observe(block, bins);
        let window = Window {
            rms: current.rms,
            peak: current.peak,
            fundamental: current.fundamental,
            second: current.second,
            third: current.third,
            supply: self.supply.level(block, self.mains.mains()),
            drain: self.drain.level(block, self.mains.mains()),
        };
        self.bursts.push(tick, block, window.rms, |b| sink(Record::Burst(b)));
        if let Some(fill) = self.fills.push(tick, window.supply) {
            sink(Record::Fill(fill));
        }
        if let Some(record) = self.windows.push(tick, window) {
            sink(Record::Windows(record));
        }
        self.clipped = self.clipped.saturating_add(clipped(block));
        // A reader wants to know the mains as soon as the logger does: it tells 120 V countries from 230 V ones.
        if tick.0.is_multiple_of(HEALTH_EVERY) || known != self.mains.mains() {
            sink(Record::Health(self.health(block)));
        }
        self.tick = tick.after(1);
        window
    }

    /// Takes the codes of the two thermistors (supply, drain), once a second.
    pub fn temperatures(&mut self, codes: [i16; 2], mut sink: impl FnMut(Record)) {
        if let Some(record) = self.temperatures.push(self.tick, codes.map(celsius)) {
            sink(Record::Temperatures(record));
        }
    }

    /// Someone pressed the button.
    pub fn mark(&self, mut sink: impl FnMut(Record)) {
        sink(Record::Mark(Mark { tick: self.tick }));
    }

    /// A host with a clock is there.
    pub fn anchor(&self, unix_ms: i64, offset_minutes: i16, mut sink: impl FnMut(Record)) {
        sink(Record::Anchor(Anchor { tick: self.tick, unix_ms, offset_minutes }));
    }

    /// Samples of `windows` windows never came. Says so and goes on after them.
    pub fn lost(&mut self, windows: u32, cause: LossCause, mut sink: impl FnMut(Record)) {
        self.flush(&mut sink);
        sink(Record::Loss(Loss { first: self.tick, windows, cause }));
        self.tick = self.tick.after(windows);
    }

    /// Ends the log: all that is still held back is handed over, and then why it ends.
    pub fn close(&mut self, reason: CloseReason, mut sink: impl FnMut(Record)) {
        self.flush(&mut sink);
        sink(Record::Closed(Closed { tick: self.tick, reason }));
    }

    /// Hands over all that is held back.
    pub fn flush(&mut self, sink: &mut impl FnMut(Record)) {
        self.fills.flush().map(Record::Fill).into_iter().for_each(&mut *sink);
        self.windows.flush().map(Record::Windows).into_iter().for_each(&mut *sink);
        self.temperatures.flush().map(Record::Temperatures).into_iter().for_each(sink);
    }

    fn health(&mut self, block: &Block) -> Health {
        Health {
            tick: self.tick,
            battery_mv: millivolts(block),
            mains: self.mains.mains(),
            clipped: core::mem::take(&mut self.clipped),
        }
    }
}

/// Samples at either end of the converter's range, of the three signals.
fn clipped(block: &Block) -> u16 {
    const _: () = assert!(BLOCK < u16::MAX as usize);
    block.as_chunks::<CHANNELS>().0.iter().flat_map(|c| &c[..3]).filter(|s| at_end(s)).count() as u16
}
