//! Constants of the Markov chain over the places of a programme.

use crate::constant::constants;

constants! { "loads":
    /// Probability that a place is followed by one that does not usually follow it.
    UNUSUAL: f64 = 0.02, "probability", Guess;
    /// Finest time of a change that is told apart: controls switch within fractions of a second of each other.
    TICK: f64 = 1.0, "s", Guess;
}
