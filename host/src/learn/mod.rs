//! A machine from known-good cycles: which programmes they are of, what all cycles of a programme do, what some do, and how far they differ.

mod add;
mod confirmed;
mod constants;
mod cores;
mod draws;
mod evidence;
mod example;
mod expected;
mod global;
mod held;
mod learned;
mod limits;
mod machine;
mod names;
mod nights;
mod oddities;
mod parts;
mod profile;
mod programme;
mod programmes;
mod spreads;
mod written;

pub use add::add;
pub(crate) use constants::ALL as CONSTANTS;
pub use draws::draws;
pub use learned::{LearnError, Learned};
pub(crate) use machine::draw;
pub use machine::learn;
pub use nights::Nights;
pub use oddities::{Odd, odd};
pub(crate) use profile::{ENOUGH, spread};
