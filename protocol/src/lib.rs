//! What a tubtrace logger writes and every reader reads: [`Record`]s, each in a frame of its own.
//!
//! A log file is the frames in order and nothing else. `SPEC.md` beside this crate gives the format without
//! reference to this code; the tests run every byte example in it.
//!
//! ```
//! use tubtrace_protocol::{Record, Mark, Tick, encode, Reader, Item};
//!
//! let mut frame = [0; tubtrace_protocol::MAX_FRAME];
//! let frame = encode(&Record::Mark(Mark { tick: Tick(300) }), &mut frame).unwrap();
//!
//! let mut reader = Reader::default();
//! let mut items = Vec::new();
//! reader.push(frame, |item| items.push(item));
//! assert_eq!(items, [Item::Record(Record::Mark(Mark { tick: Tick(300) }))]);
//! ```
#![no_std]

mod burst;
mod frame;
mod message;
mod reader;
mod record;
mod tick;
mod windows;

pub use burst::{BURST_CHUNK, Burst};
pub use frame::{
    CRC, Damage, MAX_FRAME, MAX_RECORD, check_of, decode, decode_reply, decode_request, encode, encode_reply,
    encode_request,
};
pub use message::{
    Arm, Attached, Checked, Clamp, Cursor, Full, HostClock, Identity, Live, REPLY, REQUEST, Refusal, Reply,
    Request, State, Status, Thermistor,
};
pub use reader::{Item, Reader};
pub use record::{
    Anchor, CloseReason, Closed, FORMAT, Fill, Health, Label, Loss, LossCause, Mains, Mark, OpenReason,
    Opened, Panic, Record, TemperatureRun, Temperatures, VERSION,
};
pub use tick::Tick;
pub use windows::{CHANNELS, MAX_RUNS, Run, Window, Windows};
