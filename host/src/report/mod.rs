//! What a person sees, and what a program reads.

mod answer;
mod bench;
mod groups;
mod jobs;
mod json;
mod nothing;
mod page;
mod paper;
mod strip;
mod style;
mod subject;
mod timeline;
mod units;
mod verdict;
mod wording;
mod words;

pub use bench::{Bench, Input, bench_json, bench_page, bench_text};
pub use groups::{Called, groups_json, groups_page, groups_text};
pub use jobs::{JobRow, jobs_json, jobs_table};
pub use json::{check_json, timeline_json};
pub use page::{Sheet, beside, page};
pub use paper::paper;
pub use style::WIDTH;
pub use subject::{Subject, Verdict};
pub use timeline::timeline;
pub use units::Units;
pub use verdict::{overview, verdict};
pub(crate) use words::letter;
pub use words::{clock_time, heading, lasts, of_cycles};

pub use crate::text::duration;
