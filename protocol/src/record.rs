//! The entries of a log.

use heapless::{String, Vec};
use serde::{Deserialize, Serialize};

use crate::burst::Burst;
use crate::tick::Tick;
use crate::windows::Windows;

/// The four bytes at the start of every opening record: what makes a file a tubtrace log.
pub const FORMAT: [u8; 4] = *b"tubt";

/// Version of the format that this crate writes.
///
/// It goes up when an existing record changes its meaning. New kinds of record, and new fields at the end of a
/// record, do not change it: a reader skips and counts the former and ignores the latter.
pub const VERSION: u8 = 1;

/// What the technician calls this log: at most 32 bytes of UTF-8.
pub type Label = String<32>;

/// One entry of the log. The order of the variants is the number of the kind on the wire: add at the end only.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(clippy::large_enum_variant, reason = "no allocator on the board; one record at a time is held")]
pub enum Record {
    /// Kind 0: the log begins, or begins again after a reset.
    Opened(Opened),
    /// Kind 1: what the four channels read, window by window.
    Windows(Windows),
    /// Kind 2: what the two temperature clips read.
    Temperatures(Temperatures),
    /// Kind 3: the supply line was heard to flow, and stopped.
    Fill(Fill),
    /// Kind 4: raw samples of the current around a sudden change.
    Burst(Burst),
    /// Kind 5: a tick and the wall clock of a host that was plugged in.
    Anchor(Anchor),
    /// Kind 6: someone pressed the button.
    Mark(Mark),
    /// Kind 7: the logger about itself.
    Health(Health),
    /// Kind 8: windows that the logger knows it lost.
    Loss(Loss),
    /// Kind 9: the log ends on purpose.
    Closed(Closed),
    /// Kind 10: what the firmware said when it stopped itself.
    Panic(Panic),
}

impl Record {
    /// Kinds that this version knows; a greater number on the wire comes from a newer logger.
    pub const KINDS: u32 = 11;
}

/// The log begins, or goes on after a reset.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Opened {
    /// The bytes of [`FORMAT`], by which a file is known as a log.
    pub format: [u8; 4],
    /// [`VERSION`] of the logger that wrote this.
    pub version: u8,
    /// First tick of this log or, after a reset, the first one that follows it.
    pub tick: Tick,
    /// Why it was opened.
    pub reason: OpenReason,
    /// Serial number of the logger.
    pub logger: u32,
    /// The clamp's calibration: microamps a count of the converter. Windows are already in milliamps; this is
    /// for [`Burst`]s, and so that a log says what was assumed.
    pub microamps_per_count: u32,
    /// What the technician called it.
    pub label: Label,
}

/// Why a log was opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum OpenReason {
    /// A person armed it.
    Armed,
    /// The power came back after it was gone.
    Power,
    /// The watchdog fired, for the firmware had hung.
    Watchdog,
    /// The firmware stopped itself.
    Panic,
}

/// Temperatures of the two clips, once a second, as runs of nearly equal values.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Temperatures {
    /// Tick of the first reading.
    pub start: Tick,
    /// The runs, one after the other without a gap.
    pub runs: Vec<TemperatureRun, 16>,
}

/// So many seconds at one pair of temperatures, each within 0.1 degrees C of every reading in the run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TemperatureRun {
    /// Readings in this run, one a second.
    pub seconds: u16,
    /// Supply clip in hundredths of a degree C; `None` when its thermistor is open or shorted.
    pub supply: Option<i16>,
    /// Drain clip in hundredths of a degree C; `None` when its thermistor is open or shorted.
    pub drain: Option<i16>,
}

/// The supply line was heard to flow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fill {
    /// First window with flow.
    pub start: Tick,
    /// How many windows of it had flow.
    pub windows: u32,
    /// Mean level of the supply pickup meanwhile, sixteenths of a count.
    pub level: u16,
}

/// A tick and the wall clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Anchor {
    /// When, by the logger.
    pub tick: Tick,
    /// When, by the host: milliseconds since 1970-01-01T00:00:00Z.
    pub unix_ms: i64,
    /// The host's local time minus UTC, in minutes; or [`Anchor::UNSAID`].
    pub offset_minutes: i16,
}

impl Anchor {
    /// Nobody said where the clock was: `unix_ms` is its time of day as if it were UTC. Written for other meters only.
    pub const UNSAID: i16 = i16::MIN;
}

/// Someone pressed the button: it happened now.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mark {
    /// The window in which the button was pressed.
    pub tick: Tick,
}

/// The mains as the logger finds it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Mains {
    /// No current and no hum seen yet.
    #[default]
    Unknown,
    /// The mains has 50 Hz.
    Hz50,
    /// The mains has 60 Hz.
    Hz60,
}

/// The logger about itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Health {
    /// The window in which this was so.
    pub tick: Tick,
    /// Mean of the battery channel, in millivolts.
    pub battery_mv: u16,
    /// The mains it sees.
    pub mains: Mains,
    /// Samples at either end of the converter's range since the last record of this kind (saturating).
    pub clipped: u16,
}

/// Windows that the logger knows it lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Loss {
    /// The first window lost.
    pub first: Tick,
    /// How many windows are missing.
    pub windows: u32,
    /// Why they are missing.
    pub cause: LossCause,
}

/// Why windows were lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum LossCause {
    /// Samples were overwritten before they were taken.
    Overrun,
    /// The flash is full and the logger was armed to stop.
    Full,
    /// The flash refused a write.
    Flash,
}

/// The log ends on purpose.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Closed {
    /// The first tick that is not in the log.
    pub tick: Tick,
    /// Why it ends here.
    pub reason: CloseReason,
}

/// Why a log was closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum CloseReason {
    /// A person stopped it.
    Stopped,
    /// The battery is nearly empty.
    Battery,
    /// The flash is full.
    Full,
}

/// What the firmware said when it stopped itself, told after it began again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Panic {
    /// The first tick after it.
    pub tick: Tick,
    /// Where and why, cut to 96 bytes of UTF-8.
    pub message: String<96>,
}
