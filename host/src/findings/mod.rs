//! Findings: each departure from the chart, measured, with what may be behind it and what to measure next.

mod causes;
mod cautions;
mod constants;
mod finding;
mod judge;
mod judged;
mod measurement;
mod measuring;
mod next;
mod placed;
mod ranking;
mod refuted;
mod scale;
mod severity;

pub use causes::{Advice, Causes, CausesError, Suspect};
pub(crate) use constants::ALL as CONSTANTS;
pub(crate) use constants::{SOMETHING_ELSE, WORTH_NAMING};
pub use finding::Finding;
pub(crate) use judge::judge_as;
pub use judge::{judge, judge_with};
pub use judged::{Judged, Known, Outcome};
pub use measurement::{Measurement, Showing};
pub use measuring::{Sign, Step};
pub(crate) use measuring::{Suspected, best};
pub use placed::{Placed, place};
pub(crate) use ranking::{odds_of, score, score_of};
pub use refuted::runs_after;
pub use scale::{off_by, off_scale};
pub use severity::Severity;

pub use crate::checks::Surroundings;
pub use crate::quantity::Quantity;
