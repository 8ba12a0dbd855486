//! A live view: windows as they come into a log, what the log says so far, and a screen of it.

mod believed;
mod listener;
mod screen;
mod second;
mod session;
mod terminal;

pub use believed::{Believed, believe};
pub use listener::{Heard, Listener};
pub use screen::{Screen, draw};
pub use second::{HEADING, Second};
pub use session::Session;
pub use terminal::{Terminal, TerminalError};
