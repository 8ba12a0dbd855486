//! The constants of the inference of loads, a file for each subject, in the order of its steps.

pub(crate) mod chain;
pub(crate) mod dwell;
pub(crate) mod emission;
pub(crate) mod follows;
pub(crate) mod given;
pub(crate) mod house;
pub(crate) mod learning;
pub(crate) mod order;
pub(crate) mod runs;
pub(crate) mod steps;

use crate::constant::List;

/// All of them.
pub(crate) const CONSTANTS: [List; 10] = [
    runs::ALL,
    house::ALL,
    learning::ALL,
    given::ALL,
    chain::ALL,
    dwell::ALL,
    follows::ALL,
    emission::ALL,
    steps::ALL,
    order::ALL,
];
