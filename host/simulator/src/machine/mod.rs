//! The machine: its parts, its programme, its water, and what can be wrong with it.

mod appliance;
mod control;
mod fault;
mod ills;
mod programme;
mod upset;
mod water;

pub use appliance::{Appliance, Draw, Rating};
pub use control::{Machine, Moment, STEP};
pub use fault::{Fault, Trouble};
pub use programme::{Adaptation, Pace, Step, programme};
