//! Everything a tubtrace logger decides, from samples to frames in flash.
//!
//! ```text
//! samples -> metering -> recording -> ring
//! ```
//!
//! The same source runs on the board, under the simulator and on a WAV file. Nothing here reads a clock, a pin or a
//! port: samples, converter codes and a flash come in from the edge. Integers only, no allocator, no panics wanted.
#![no_std]

#[cfg(test)]
extern crate std;

mod logger;
pub mod metering;
pub mod recording;
mod ring;
mod sampling;
mod thermistor;

pub use logger::{Arming, Logger};
pub use ring::{Full, Ring, RingError};
pub use sampling::{BLOCK, Block, CHANNELS, Channel, SAMPLE_RATE, WINDOW};
pub use thermistor::{CentiCelsius, celsius};
