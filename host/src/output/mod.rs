//! Where every file is written: never over one that is read, never over one that is there unless told to, whole or not at all.
//!
//! Whether an output may be written is asked before the work ([`Rules::place`]) and written after it ([`Place::write`]): into a new
//! file beside it, synced, then renamed. Whoever is killed meanwhile leaves what was there, and at worst that new file, whose name begins
//! with a dot. Standard output, devices and pipes are written straight. What grows for hours is no such file: see [`Growing`].

mod error;
mod folder;
mod growing;
mod identity;
mod place;
mod rules;

pub use error::OutputError;
pub use growing::{Growing, free};
pub use identity::is_same;
pub use place::Place;
pub(crate) use place::rename;
pub use rules::Rules;
