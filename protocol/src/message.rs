//! What host and logger say to each other. They share the wire, and the framing, with the frames of a log.

use heapless::String;
use serde::{Deserialize, Serialize};

use crate::record::{Label, Mains};
use crate::tick::Tick;
use crate::windows::Window;

/// The number that stands before a [`Request`] where a log has the kind of a record. A reader of logs takes it for a
/// kind that it does not know, and passes it over.
pub const REQUEST: u32 = 64;

/// The number that stands before a [`Reply`], which a reader of logs passes over in the same way.
pub const REPLY: u32 = 65;

/// What the host asks. The order of the variants is their number on the wire: add at the end only.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Request {
    /// 0: who are you? The number comes back in the reply, so that nothing said before is taken for it.
    Hello {
        /// A number that the host draws anew for each hello.
        nonce: u32,
    },
    /// 1: how are you?
    Status,
    /// 2: begin a log. Refused while one is recorded or stored.
    Arm(Arm),
    /// 3: end the log.
    Stop,
    /// 4: the time by the host's clock, to be recorded.
    Anchor(HostClock),
    /// 5: the log's frames, from here on. They come as they are, then [`Reply::End`].
    Read(Cursor),
    /// 6: send every window as it is measured, or stop doing so.
    Live {
        /// Whether windows are to be sent from now on.
        on: bool,
    },
    /// 7: look at the clips.
    Check,
    /// 8: forget the log that [`Status`] described.
    Erase {
        /// The number that [`Status::erase_token`] gave: only who has just seen what is stored can erase it.
        token: u32,
    },
}

/// How a log is to be recorded.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Arm {
    /// The host's clock now.
    pub clock: HostClock,
    /// What the technician calls it.
    pub label: Label,
    /// The clamp's calibration: from 1 to 1,000,000 microamps a count.
    pub microamps_per_count: u32,
    /// What to do when the flash is full.
    pub full: Full,
}

/// What to do when the flash is full.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Full {
    /// Keep what there is and stop.
    Stop,
    /// Let the oldest go.
    Overwrite,
}

/// The time of day of the host's clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct HostClock {
    /// Milliseconds since 1970-01-01T00:00:00Z.
    pub unix_ms: i64,
    /// Local time minus UTC, in minutes.
    pub offset_minutes: i16,
}

/// A place in the log: what the host has of it already.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Cursor {
    /// How many frames, from the oldest.
    pub frames: u32,
    /// The CRC that the last of them carries; zero when there are none. If the logger finds another one there, the
    /// log is not the one that the host has begun.
    pub check: u32,
}

/// What the logger answers. The order of the variants is their number on the wire: add at the end only.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Reply {
    /// 0: to [`Request::Hello`].
    Hello(Identity),
    /// 1: to [`Request::Status`].
    Status(Status),
    /// 2: it is done.
    Done,
    /// 3: it is not done.
    Refused(Refusal),
    /// 4: after the last frame of a [`Request::Read`].
    End {
        /// Where the next read goes on.
        cursor: Cursor,
    },
    /// 5: a window, while [`Request::Live`] is on.
    Live(Live),
    /// 6: to [`Request::Check`].
    Checked(Checked),
    /// 7: still at it; to anything that takes longer than a second.
    Working {
        /// How much of the work is done, in thousandths; 0 where that is not known.
        permille: u16,
    },
}

/// Who the logger is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Identity {
    /// As it was asked.
    pub nonce: u32,
    /// [`crate::VERSION`] of its log format.
    pub version: u8,
    /// Serial number of the logger.
    pub logger: u32,
    /// Version of its firmware.
    pub firmware: String<16>,
}

/// What the logger is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum State {
    /// Nothing is stored and nothing recorded.
    Empty,
    /// A log is being recorded.
    Recording,
    /// A log is stored; nothing is recorded.
    Stopped,
    /// The flash cannot be used: nothing is recorded.
    NoFlash,
}

/// How the logger is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Status {
    /// What it is doing.
    pub state: State,
    /// The window that comes next in the log, or the end of the log that is stored.
    pub tick: Tick,
    /// Windows sampled since the logger was switched on or reset.
    pub uptime: u32,
    /// Bytes of flash in use for the log.
    pub used: u32,
    /// Bytes of flash that a log can have.
    pub capacity: u32,
    /// Windows lost since the logger was switched on or reset.
    pub lost: u32,
    /// Voltage of the battery, in millivolts.
    pub battery_mv: u16,
    /// The mains as it finds it.
    pub mains: Mains,
    /// What [`Request::Erase`] must bring.
    pub erase_token: u32,
    /// What the log is called.
    pub label: Label,
}

/// Why something was not done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Refusal {
    /// A log is being recorded.
    Recording,
    /// No log is being recorded.
    NotRecording,
    /// A log is stored: fetch it, then erase it.
    NotEmpty,
    /// The log is not the one that the host has begun to fetch.
    OtherLog,
    /// What is stored has changed since the status was asked.
    Token,
    /// The calibration is out of range.
    Calibration,
    /// The flash memory refused the operation.
    Flash,
    /// The request could not be read.
    Malformed,
}

/// A window as it is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Live {
    /// Windows sampled since the logger was switched on or reset, this one included.
    pub uptime: u32,
    /// The seven numbers of the window.
    pub window: Window,
    /// Supply and drain clip in hundredths of a degree C.
    pub clips: [Option<i16>; 2],
    /// Whether the button was pressed in it.
    pub mark: bool,
}

/// What the self-check finds, over the last ten seconds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Checked {
    /// What the current clamp sees.
    pub clamp: Clamp,
    /// The pickups on supply line and drain hose.
    pub pickups: [Attached; 2],
    /// The thermistors on supply line and drain hose.
    pub clips: [Thermistor; 2],
}

/// What a clamp sees.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Clamp {
    /// Current at the mains frequency.
    Live,
    /// None: the machine is off, the jaw is open, or it is around both conductors.
    Quiet,
    /// More than the converter can take.
    Clipped,
}

/// Whether a pickup hears.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Attached {
    /// It has heard something: a tap on the line, or flow.
    Hears,
    /// Nothing above its own noise: tap the line beside it.
    Quiet,
    /// It sits at an end of its range: its lead is broken or shorted.
    Stuck,
}

/// What a thermistor is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Thermistor {
    /// It reads a temperature, in hundredths of a degree C.
    Reads(i16),
    /// Open: not plugged in, or its lead is broken.
    Open,
    /// The two wires of its lead touch.
    Shorted,
    /// The converter does not answer.
    NoConverter,
}
