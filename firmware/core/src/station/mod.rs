//! The station: the logger with everything around it that is decided window by window. What it records waits in a
//! backlog for the flash, so nothing here ever waits.

mod backlog;
mod battery;
mod checks;
mod lamp;

use tubtrace_protocol::{
    Checked, Clamp, CloseReason, Full, HostClock, Live, LossCause, MAX_FRAME, OpenReason, Panic, Record,
    State, Status, Tick, Window, decode,
};

use crate::logger::{Arming, Logger};
use crate::metering::Calibration;
use crate::sampling::Block;
use crate::storage::{Memory, RESERVE, RESERVE_EVERY};
use backlog::Backlog;
use battery::Battery;
use checks::Checks;
pub use lamp::Lamp;

/// Windows for which the LED confirms a press of the button.
const HEARD: u32 = 10;

/// Percent of the flash in use above which it is nearly full.
const NEARLY_FULL: u32 = 90;

/// Why the logger starts.
#[derive(Clone, Debug)]
pub struct Start {
    /// The reason, as far as the processor knows it.
    pub reason: OpenReason,
    /// What the firmware said when it stopped itself.
    pub panic: Option<heapless::String<96>>,
}

/// The logger with its backlog, its battery, the check of its clips and its lamp. The board hands it windows and presses; the request
/// handler takes frames out of it.
#[derive(Debug)]
pub struct Station {
    logger: Logger,
    arming: Arming,
    state: State,
    backlog: Backlog,
    checks: Checks,
    battery: Battery,
    latest: Live,
    /// The window after which the LED no longer confirms the button.
    heard: u32,
    /// Whether the mark of the last press is kept.
    kept: bool,
    /// No tick from here on has been used: the end of the log, or what was reserved ahead.
    reserved: Tick,
    used: u32,
    capacity: u32,
    live: bool,
    /// Something is to be remembered, and the flash does not yet.
    forgetful: bool,
    /// The battery ended the log: whoever starts next with fresh cells goes on with it.
    resumes: bool,
}

impl Station {
    /// Starts, and goes on recording if that was what the logger did before it was reset. `serial` is its number if
    /// nothing is remembered; `stored` whether the flash holds a log.
    #[must_use]
    pub fn start(memory: Option<Memory>, serial: u32, start: Start, stored: bool) -> Self {
        let recording = memory.as_ref().is_some_and(|m| m.recording);
        let reserved = memory.as_ref().map_or(Tick(0), |m| m.reserved);
        let arming = Arming {
            logger: memory.as_ref().map_or(serial, |m| m.logger),
            calibration: memory
                .as_ref()
                .and_then(|m| Calibration::new(m.microamps_per_count))
                .unwrap_or(Calibration::NOMINAL),
            full: memory.as_ref().map_or(Full::Stop, |m| m.full),
            label: memory.map(|m| m.label).unwrap_or_default(),
        };
        let mut station = Self {
            logger: Logger::idle(arming.calibration),
            arming,
            state: if stored { State::Stopped } else { State::Empty },
            backlog: Backlog::default(),
            checks: Checks::default(),
            battery: Battery::default(),
            latest: Live { uptime: 0, window: Window::default(), clips: [None; 2], mark: false },
            heard: 0,
            kept: false,
            reserved,
            used: 0,
            capacity: 0,
            live: false,
            forgetful: false,
            resumes: false,
        };
        if recording {
            station.record(reserved, start.reason);
            if let Some(message) = start.panic {
                let _ = station.backlog.put(&Record::Panic(Panic { tick: reserved, message }));
            }
        }
        station
    }

    /// The flash cannot be used. Windows are still measured, for a host that looks on.
    pub fn without_flash(&mut self) {
        self.state = State::NoFlash;
        self.backlog.open = false;
        self.backlog.clear();
    }

    /// The flash can be used after all: goes on as a start would have with it. Windows until then are in no log.
    pub fn with_flash(&mut self, memory: Option<Memory>, stored: bool) {
        let (serial, latest) = (self.arming.logger, self.latest);
        let start = Start { reason: OpenReason::Power, panic: None };
        let battery = self.battery.clone();
        *self = Self { latest, battery, live: self.live, ..Self::start(memory, serial, start, stored) };
    }

    /// Begins a new log.
    pub fn arm(&mut self, arming: Arming, clock: HostClock) {
        self.arming = arming;
        self.record(Tick(0), OpenReason::Armed);
        self.anchor(clock);
    }

    fn record(&mut self, tick: Tick, reason: OpenReason) {
        self.state = State::Recording;
        self.resumes = false;
        self.backlog.open = true;
        self.reserved = tick;
        let backlog = &mut self.backlog;
        self.logger = Logger::open(self.arming.clone(), tick, reason, |record| _ = backlog.put(&record));
    }

    /// Takes the next window of samples.
    pub fn window(&mut self, block: &Block) {
        let Self { logger, backlog, .. } = self;
        let window = logger.window(block, |record| _ = backlog.put(&record));
        self.checks.window(block, &window);
        let uptime = self.latest.uptime.wrapping_add(1);
        self.latest = Live { uptime, window, clips: self.checks.clips(), mark: false };
        if self.battery.window(block) && self.state == State::Recording {
            self.close(CloseReason::Battery);
        }
    }

    /// Takes the codes of the two thermistors (supply, drain), once a second; `None` where the converter is silent.
    pub fn temperatures(&mut self, codes: Option<[i16; 2]>) {
        self.checks.codes(codes);
        let Self { logger, backlog, .. } = self;
        logger.temperatures(codes.unwrap_or([i16::MIN; 2]), |record| _ = backlog.put(&record));
    }

    /// Someone pressed the button. The lamp says whether the mark is kept.
    pub fn button(&mut self) {
        self.latest.mark = true;
        self.heard = self.latest.uptime.wrapping_add(HEARD);
        let Self { logger, backlog, kept, .. } = self;
        logger.mark(|record| *kept = backlog.put(&record));
    }

    /// Samples of `windows` windows never came.
    pub fn lost(&mut self, windows: u32) {
        self.latest.uptime = self.latest.uptime.wrapping_add(windows);
        let Self { logger, backlog, .. } = self;
        backlog.lost = backlog.lost.saturating_add(windows);
        logger.lost(windows, LossCause::Overrun, |record| _ = backlog.put(&record));
    }

    /// The time by a host's clock.
    pub fn anchor(&mut self, clock: HostClock) {
        let Self { logger, backlog, .. } = self;
        logger.anchor(clock.unix_ms, clock.offset_minutes, |record| _ = backlog.put(&record));
    }

    /// Hands over to the backlog what is held back, so that a host that reads now gets all there is.
    pub fn flush(&mut self) {
        let Self { logger, backlog, .. } = self;
        logger.flush(&mut |record| _ = backlog.put(&record));
    }

    /// Ends the log, and says why in its last record.
    pub fn close(&mut self, reason: CloseReason) {
        let Self { logger, backlog, .. } = self;
        logger.close(reason, |record| _ = backlog.put(&record));
        self.reserved = self.logger.tick();
        self.logger = Logger::idle(self.arming.calibration);
        self.backlog.open = false;
        self.state = State::Stopped;
        self.resumes = reason == CloseReason::Battery;
        self.forgetful = true;
    }

    /// The log has been erased.
    pub fn erased(&mut self) {
        self.state = State::Empty;
        self.resumes = false;
        self.reserved = Tick(0);
        self.backlog.clear();
    }

    /// The flash refused a frame that was taken from the backlog. A mark among them is shown to be refused, however late.
    pub fn refused(&mut self, frame: &[u8]) {
        if is_mark(frame) {
            self.kept = false;
            self.heard = self.latest.uptime.wrapping_add(HEARD);
        }
        self.backlog.refused(frame);
    }

    /// The oldest frame that waits for the flash.
    pub fn next_frame<'b>(&mut self, buffer: &'b mut [u8; MAX_FRAME]) -> Option<&'b [u8]> {
        self.backlog.pop(buffer)
    }

    /// Whether so much waits for the flash that it should be written before anything else is done.
    #[must_use]
    pub fn pressing(&self) -> bool {
        self.backlog.presses()
    }

    /// How much of the flash is in use.
    pub fn note_storage(&mut self, used: u32, capacity: u32) {
        (self.used, self.capacity) = (used, capacity);
    }

    /// What must be remembered now: that the log was closed, or more ticks, if it is time to reserve them again.
    pub fn due(&mut self) -> Option<Memory> {
        let reserve = self.state == State::Recording
            && self.logger.tick().0.saturating_add(RESERVE - RESERVE_EVERY) >= self.reserved.0;
        (reserve || self.forgetful).then(|| self.memory())
    }

    /// The flash did not take what was to be remembered: it is due again.
    pub const fn not_remembered(&mut self) {
        self.forgetful = true;
    }

    /// What must be remembered, with ticks reserved ahead while they are being used.
    pub fn memory(&mut self) -> Memory {
        self.forgetful = false;
        if self.state == State::Recording {
            self.reserved = self.logger.tick().after(RESERVE);
        }
        Memory {
            logger: self.arming.logger,
            recording: self.state == State::Recording || self.resumes,
            reserved: self.reserved,
            microamps_per_count: self.arming.calibration.microamps_per_count(),
            full: self.arming.full,
            label: self.arming.label.clone(),
        }
    }

    /// What the LED shows now.
    #[must_use]
    pub fn lamp(&self) -> Lamp {
        let now = self.latest.uptime;
        let ahead = self.heard.wrapping_sub(now);
        if ahead > 0 && ahead <= HEARD {
            if self.kept { Lamp::Heard } else { Lamp::Refused }
        } else if self.state == State::NoFlash {
            Lamp::NoFlash
        } else if self.state != State::Recording {
            Lamp::Dark
        } else if self.battery.is_low() {
            Lamp::BatteryLow
        } else if self.arming.full == Full::Stop && self.used / NEARLY_FULL > self.capacity / 100 {
            Lamp::NearlyFull
        } else if self.checks.clip_missing() {
            Lamp::ClipMissing
        } else if self.checks.result().clamp == Clamp::Quiet {
            Lamp::NoMains
        } else {
            Lamp::Recording
        }
    }

    /// Whether the LED is lit in the window that was measured last.
    #[must_use]
    pub fn lit(&self) -> bool {
        self.lamp().lit(self.latest.uptime)
    }

    /// The last window, for a host that looks on.
    #[must_use]
    pub const fn latest(&self) -> Live {
        self.latest
    }

    /// Whether a host looks on.
    #[must_use]
    pub const fn is_live(&self) -> bool {
        self.live
    }

    /// A host looks on, or no longer.
    pub const fn set_live(&mut self, on: bool) {
        self.live = on;
    }

    /// What the clips look like.
    #[must_use]
    pub fn check(&self) -> Checked {
        self.checks.result()
    }

    /// What the logger is doing.
    #[must_use]
    pub const fn state(&self) -> State {
        self.state
    }

    /// The serial number of the logger.
    #[must_use]
    pub const fn serial(&self) -> u32 {
        self.arming.logger
    }

    /// How it is, but for the token that erasing wants.
    #[must_use]
    pub fn status(&self) -> Status {
        Status {
            state: self.state,
            tick: if self.state == State::Recording { self.logger.tick() } else { self.reserved },
            uptime: self.latest.uptime,
            used: self.used,
            capacity: self.capacity,
            lost: self.backlog.lost,
            battery_mv: self.battery.millivolts(),
            mains: self.logger.mains(),
            erase_token: 0,
            label: self.arming.label.clone(),
        }
    }
}

fn is_mark(frame: &[u8]) -> bool {
    matches!(frame.strip_suffix(&[0]).map(decode), Some(Ok(Ok(Record::Mark(_)))))
}
