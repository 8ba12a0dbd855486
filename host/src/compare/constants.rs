//! Constants of the comparison of cycles.

use crate::constant::constants;

constants! { "compare":
    /// What is less likely than this by chance is taken for gone: one in twenty.
    SURE: f64 = 0.05, "probability", Practice;
    /// Other cycles of its programme that a cycle is held against at least.
    FEWEST: u32 = 3, "cycles", Guess;
}
