//! From a log to findings, one stage a module, each of which knows only the type it takes and the type it gives.
//!
//! ```text
//! log file -> trace -> loads -> intervals -> alignment -> checks -> findings -> report
//! ```
pub mod alignment;
pub mod analysis;
pub mod chart;
pub mod checks;
pub mod command;
pub mod compare;
pub mod constant;
pub mod export;
pub mod findings;
pub mod intervals;
pub mod learn;
pub mod link;
pub mod live;
pub mod loads;
pub mod log;
pub mod output;
mod quantity;
pub mod report;
mod text;
pub mod trace;
