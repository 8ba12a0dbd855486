//! The trace: what the log says as a time series. Gaps stay gaps.

mod clock;
mod meter;
mod readings;
mod series;
mod steps;

pub use clock::{Clock, Zone};
pub use meter::{Meter, Nominal};
pub use readings::{Burst, Detail, Health, HeardFill, Noise, Step, Temperature};
pub use series::Trace;
pub use steps::{Iter, Steps};
