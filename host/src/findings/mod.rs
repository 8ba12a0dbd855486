//! Findings: each departure from the chart, measured, with what may be behind it and what to measure next.

mod causes;
mod constants;
mod diagnosis;
mod finding;
mod judge;
mod judged;
mod placed;
mod scale;

pub use causes::{Advice, Causes, CausesError, Suspect};
pub(crate) use constants::ALL as CONSTANTS;
pub use finding::Finding;
pub(crate) use judge::judge_as;
pub use judge::{judge, judge_with};
pub use judged::{Judged, Known, Outcome};
pub use placed::Placed;
pub use scale::off_by;

pub use crate::checks::Surroundings;
pub use crate::quantity::Quantity;
