//! The chart: what the machine should do, in the words of the trade, with what it may and may not do.

mod baselines;
mod complaint;
mod expected;
mod limits;
mod machine;
pub(crate) mod numbers;
mod parse;
mod tables;
mod write;

pub use baselines::{Baselines, Value};
pub use complaint::FileError;
pub(crate) use complaint::{Complaint, complain, place, tables};
pub use expected::{Chart, Expected, Part, is_of_few};
pub use limits::Limits;
pub use machine::Machine;
pub(crate) use parse::small_text;
pub use parse::{parse, read};
pub use write::to_toml;
