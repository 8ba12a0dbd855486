//! Records out of windows: keep what changes, within a stated error.

mod bursts;
mod fill;
mod temperatures;
mod windows;

pub use bursts::Bursts;
pub use fill::FillDetector;
pub use temperatures::{TEMPERATURE_BOUND, TemperatureRecorder};
pub use windows::{BOUNDS, Bound, WindowRecorder};
