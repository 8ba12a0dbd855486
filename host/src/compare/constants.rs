//! Constants of the comparison of cycles.

use crate::constant::constants;

constants! { "compare":
    /// What is less likely than this by chance is taken for gone: one in twenty.
    SURE: f64 = 0.05, "probability", Practice;
    /// Other cycles of its programme that a cycle is held against at least.
    FEWEST: u32 = 3, "cycles", Guess;
    /// How far from the median of its stratum a value counts in full; what is beyond counts as much.
    HELD_WITHIN: f64 = 3.0, "standard deviations", Practice;
}
