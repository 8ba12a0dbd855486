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
pub(crate) use complaint::spoken;
pub use expected::{Chart, Expected, Part, is_of_few};
pub use limits::Limits;
pub use machine::Machine;
pub use parse::{ChartError, parse, read};
pub(crate) use parse::{place, small_text};
pub use write::to_toml;
