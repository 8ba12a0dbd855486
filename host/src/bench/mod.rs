//! Many runs of one repaired control: whether it may go back.

mod constants;
mod plan;
pub mod statistics;

pub(crate) use constants::ALL as CONSTANTS;
pub use plan::{Original, Own, Plan, PlanError, Wanted, parse, read};
