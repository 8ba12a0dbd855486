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
mod random;
pub mod scenario;
pub mod sensing;
mod truth;

pub use failing_flash::{Cut, FailingFlash};
pub use machine::Doing;
pub use nor_flash::{FlashError, RamFlash, Reads};
pub use random::Random;
pub use truth::{Truth, TruthCycle, TruthInterval};
