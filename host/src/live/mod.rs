//! A live view: windows as they come into a log, what the log says so far, and a screen of it.

mod estimate;
mod listener;
mod screen;
mod second;
mod session;
mod terminal;

pub use estimate::Estimate;
pub use listener::{Arrival, Listener};
pub use screen::{Screen, draw};
pub use second::{HEADING, Second};
pub use session::Session;
pub use terminal::{Terminal, TerminalError};
