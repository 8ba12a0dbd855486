//! The constants of diagnosis.

use crate::constant::constants;

constants! { "diagnosis":
    /// A suspect that is less probable than this is not told.
    LEAST_TOLD: f64 = 0.04, "probability", Guess;
    /// So many suspects are told at most.
    MOST_TOLD: usize = 4, "suspects", Guess;
    /// No percentage above this is told: the weights are guesses.
    MOST_SURE: f64 = 0.95, "probability", Guess;

    /// A fault is said to be seen, if there is one, with this probability.
    WOULD_BE_SEEN: f64 = 0.95, "probability", Practice;
}
