//! Dishwashers that never existed: a small physical and control model for each kind,
//! machines drawn from it by seed, and recordings of their days with the truth beside them.
#![forbid(unsafe_code)]

pub mod advance;
pub mod args;
pub mod carry;
pub mod clock;
pub mod control;
pub mod cycle;
pub mod day;
pub mod fault;
pub mod faulty;
pub mod frame;
pub mod house;
pub mod kinds;
pub mod machine;
pub mod meter;
pub mod motors;
pub mod output;
pub mod plant;
pub mod programme;
pub mod rng;
pub mod samples;
pub mod sim;
pub mod sticking;
pub mod truth;
pub mod water;
