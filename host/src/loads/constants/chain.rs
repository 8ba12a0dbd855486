//! Constants of the Markov chain over the places of a programme.

use crate::constant::constants;

constants! { "loads":
    /// Probability that a place is followed by one that does not usually follow it.
    UNUSUAL: f64 = 0.02, "probability", Guess;
    /// Finest time of a change that is told apart: controls switch within fractions of a second of each other.
    TICK: f64 = 1.0, "s", Guess;
    /// How often a trace, or what follows a gap in it, begins while the machine is idle.
    BEGINS_IDLE: f64 = 10.0, "ratio", Practice;
    /// How often it begins in a fill, in a wash, in heat or in a drain, each.
    BEGINS_RUNNING: f64 = 1.0, "ratio", Practice;
    /// How often it begins in what lies between those: a pause, a rest, a soak, drying, each.
    BEGINS_BETWEEN: f64 = 0.3, "ratio", Practice;
    /// How often it begins in any other place, each.
    BEGINS_ELSEWHERE: f64 = 0.05, "ratio", Practice;
}
