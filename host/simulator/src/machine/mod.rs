//! The machine: its parts, its programme, its water, and what can be wrong with it.

mod adaptation;
mod appliance;
mod control;
mod doing;
mod fault;
mod fault_effects;
mod faulty_programme;
mod pace;
mod programme;
mod programme_step;
mod water;

pub use adaptation::Adaptation;
pub use appliance::{Appliance, Draw, Rating};
pub use control::{Machine, Moment, STEP};
pub use doing::Doing;
pub use fault::{Fault, Trouble};
pub use pace::Pace;
pub use programme::programme;
pub use programme_step::ProgrammeStep;
