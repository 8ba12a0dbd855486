//! The alignment: which observed interval is which of the chart's, found as the least improbable explanation.
//!
//! Dynamic programming over the chart's states. What the chart says may be left out, or come again, costs next to nothing;
//! what it does not say costs as much as it is improbable. Clock time is never compared.

mod constants;
mod cost;
mod ends;
mod explain;
mod explanation;
mod means;
mod phases;
mod table;
mod weigh;

pub(crate) use constants::{ALL as CONSTANTS, BLINK, MISSING, MISSING_PART};
pub(crate) use cost::{extra, odd_length, stand_in, unseen};
pub use ends::Ends;
pub use explain::explain;
pub(crate) use explain::{break_off, least_heat};
pub use explanation::{Alignment, Explanation, Hypothesis, Place, RunnerUp, Step};
pub use means::in_means;
pub use phases::{Phase, are_means, phases};
pub(crate) use phases::{clearest, lasted};
pub use table::{align, alignments};
