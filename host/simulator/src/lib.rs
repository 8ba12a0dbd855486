//! A simulated dishwasher under simulated clips.
//!
//! ```text
//! scenario -> machine (10 ms) -> sensing (4,800 samples/s) -> board: firmware/core, flash -> frames
//!                    \-> truth
//! ```
//!
//! Everything about a case comes from its seed. What the board writes never includes the truth. All machines here are
//! invented.

pub mod board;
mod failing_flash;
pub mod machine;
mod nor_flash;
pub mod scenario;
pub mod sensing;
mod truth;

pub use failing_flash::{Cut, FailingFlash};
pub use nor_flash::{FlashError, RamFlash, Reads};
pub use truth::{Doing, Truth, TruthCycle, TruthInterval};

/// The generator behind every random choice: small, fast and the same on every platform.
pub type Random = rand_xoshiro::Xoshiro256PlusPlus;
