//! The sheet behind the panel: the paper chart of a cycle, typed in as text, one line for each interval.
//!
//! ```text
//! name heavy, invented
//! main wash:
//! fill 1:30
//! wash 4 + heat to 55 C
//! drain 1
//! rinse: 1-2 times
//! fill 1:30
//! rinse 2:30
//! drain 1
//! dry 20 + heat
//! ```
//!
//! A sheet knows times and order, and not what this machine draws. So what it becomes is a chart with limits for times alone, as wide as a printed time
//! is rough; of currents only what a rating plate says, where it is typed in as well.

pub(crate) mod constants;
mod interval;
mod limits;
mod line;
mod mistake;
mod options;
mod paper;
mod quantity;
mod read;
mod remarks;
mod times;
mod tokens;
mod waters;
mod words;
mod write;

pub(crate) use constants::ALL as CONSTANTS;
pub use limits::{Drawn, chart};
pub use mistake::{Mistake, Mistakes, SheetError};
pub use options::{Change, Held, Options, held};
pub use paper::{Does, Line, Paper, Plate, Rated, Says, Step, Time};
pub use read::{Typed, called, parse, read};
pub use remarks::remarks;
pub use waters::Water;
pub use write::{to_text, written};
