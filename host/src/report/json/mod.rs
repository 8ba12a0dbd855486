//! The same for programs. Field names are part of the command's interface: they are added to, never changed.

mod diagnosis;
mod fields;
mod timeline;
mod verdict;

pub use timeline::timeline_json;
pub use verdict::check_json;
