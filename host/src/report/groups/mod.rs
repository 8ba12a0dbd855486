//! Two groups of cycles compared: what differs, by how much, and what so few or so many could have shown.

mod called;
mod how;
mod json;
mod page;
mod text;
mod within;
mod wording;

pub use called::Called;
pub use json::groups_json;
pub use page::groups_page;
pub use text::groups_text;
