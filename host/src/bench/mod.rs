//! Many runs of one repaired control: whether it may go back.

mod constants;
pub mod statistics;

pub(crate) use constants::ALL as CONSTANTS;
