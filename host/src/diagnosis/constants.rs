//! The constants of diagnosis.

use crate::constant::constants;

constants! { "diagnosis":
    /// Probability of a suspect goes with the exponential of its weight times this: the weights are about logarithms of how much more often
    /// something is found with a cause than without.
    SHARPNESS: f64 = 0.7, "per weight", Guess;
    /// Weight of a cause that nobody thought of.
    SOMETHING_ELSE: f64 = 0.0, "weight", Guess;
    /// A suspect that is less probable than this is not told.
    LEAST_TOLD: f64 = 0.04, "probability", Guess;
    /// So many suspects are told at most.
    MOST_TOLD: usize = 4, "suspects", Guess;
    /// No percentage above this is told: the weights are guesses.
    MOST_SURE: f64 = 0.95, "probability", Guess;

    /// Probability that a measurement shows something where none of its suspects is at fault: a slip, or something else that is wrong as well.
    FALSE_SIGN: f64 = 0.03, "probability", Guess;
    /// What each step of effort costs, in bits: a question is asked before a panel comes off for so much less.
    EFFORT: f64 = 0.05, "bits", Guess;

    /// A fault is said to be seen, if there is one, with this probability.
    WOULD_BE_SEEN: f64 = 0.95, "probability", Practice;
}
