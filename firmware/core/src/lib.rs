//! Everything a tubtrace logger decides, from samples to frames in flash.
//!
//! ```text
//! samples -> metering -> recording -> storage
//! ```
//!
//! [`Logger`] is that flow; [`Station`] puts it together with what else a board must decide, [`Storage`] is the flash,
//! and [`link`] answers a host.
//!
//! The same source runs on the board, under the simulator and on a WAV file. Nothing here reads a clock, a pin or a
//! port: samples, converter codes and a flash come in from the edge. Integers only, no allocator, no panics wanted.
#![no_std]

#[cfg(test)]
extern crate std;

pub mod link;
mod logger;
pub mod metering;
pub mod recording;
mod sampling;
mod station;
mod storage;
mod thermistor;

pub use logger::{Arming, Logger};
pub use sampling::{BLOCK, Block, CHANNELS, Channel, MIDSCALE, SAMPLE_RATE, WINDOW};
pub use station::{Lamp, Start, Station};
pub use storage::{Full, Memory, RESERVE, Ring, RingError, Search, Storage};
pub use thermistor::{CentiCelsius, celsius, ratio};
