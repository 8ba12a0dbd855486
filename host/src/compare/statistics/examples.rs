//! What the tests of the statistics are worked on.

/// Permeability of a membrane at term and early: Hollander, Wolfe and Chicken, Nonparametric Statistical Methods, example 4.1.
pub const TERM: [f64; 10] = [0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46];
/// See TERM.
pub const EARLY: [f64; 5] = [1.15, 0.88, 0.90, 0.74, 1.21];

/// Invented seconds of a drain, with ties.
pub const FIRST: [f64; 8] = [61.0, 62.0, 60.0, 61.0, 63.0, 61.0, 60.0, 62.0];
/// See FIRST: from after a repair.
pub const SECOND: [f64; 8] = [64.0, 63.0, 66.0, 64.0, 65.0, 64.0, 63.0, 90.0];
