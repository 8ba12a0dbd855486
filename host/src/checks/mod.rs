//! Checks: each thing that can be wrong, in one place: what it measures of a run, which limits it learns from good runs, how it is
//! held against them, what masks it and what is said of it. One file for each subject; the causes stand in
//! `findings/causes.toml`.

mod balance;
mod baseline;
mod check;
mod clamp;
mod clips;
pub(crate) mod constants;
mod contacts;
mod context;
mod course;
mod current;
mod deaf;
mod drain_end;
mod drain_hose;
mod drain_start;
mod element;
mod emptying;
mod ended;
mod event;
mod evidence;
mod found;
mod heat_energy;
mod heater;
mod inflow;
mod judge;
mod learn;
mod list;
mod logger;
#[cfg(test)]
mod made;
mod mains;
mod measure;
mod moved;
mod order;
mod outside;
mod pickups;
mod programme;
mod pump_start;
mod purges;
mod restarts;
mod run;
mod sag;
mod small_loads;
mod stops;
mod supply;
mod table;
mod times;
mod tries;
mod uncertainty;
mod valve;
mod wash_pump;
mod waters;
mod widen;

pub use check::{Check, Grade, Harm, Headline, Needs, Numbers};
pub(crate) use context::Context;
pub use context::{Plate, Surroundings};
pub use event::Event;
pub use found::Found;
pub(crate) use judge::judge;
pub(crate) use learn::learn;
pub(crate) use list::CONSTANTS;
pub use list::all;
pub use outside::Outside;
pub(crate) use widen::widen;
