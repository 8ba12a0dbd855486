//! What many runs of a repaired control come to: for a terminal, for a program, and as a page to print and sign.

mod chart;
mod json;
mod page;
mod table;
mod text;
mod told;
mod words;

pub use json::bench_json;
pub use page::bench_page;
pub use text::bench_text;
pub use told::{Bench, Input};
