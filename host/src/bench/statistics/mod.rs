//! The statistics of repeated runs: numbers in, numbers out. None of it knows what a run is.

mod capability;
mod cusum;
mod distributions;
mod ewma;
mod individuals;
mod proportion;
#[cfg(test)]
mod random;
mod runs;
mod sequential;
mod tolerance;
mod zones;

pub use capability::{Capability, capability};
pub use cusum::{Cusum, cusum};
pub use ewma::{Ewma, ewma};
pub use individuals::{Individuals, REACH as CHART_REACH, individuals};
pub use proportion::{at_most, proportion};
pub use runs::clean_runs;
pub use sequential::{Answer, Sequential};
pub use tolerance::{one_sided, two_sided};
pub use zones::{Rule, Signal, signals};
