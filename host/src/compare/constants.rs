//! Constants of the comparison of cycles.

use tubtrace_units::Seconds;

use crate::constant::constants;

constants! { "compare":
    /// What is less likely than this by chance is taken for gone: one in twenty.
    SURE: f64 = 0.05, "probability", Practice;
    /// Other cycles of its programme that a cycle is held against at least.
    FEWEST: u32 = 3, "cycles", Guess;
    /// Chance of any false alarm in a comparison of groups at which a difference is told.
    LEVEL: f64 = 0.05, "probability", Practice;
    /// How often the smallest difference that is told to be seen would have been.
    POWER: f64 = 0.8, "probability", Practice;
    /// Of fewer values in a group nothing is asked of how much they vary.
    VARIES_FROM: u32 = 8, "values", Guess;
    /// Of fewer cycles in a group none is far from the others.
    OTHERS_FROM: u32 = 8, "values", Guess;
    /// Parts into which a programme is cut to compare its current along the time, all in all.
    ALONG: f64 = 200.0, "parts", Guess;
    /// A log that is longer than this is several nights, one for each day of it.
    ONE_NIGHT: Seconds = Seconds(129_600.0), "s", Guess;
    /// How far from the median of its stratum a value counts in full; what is beyond counts as much.
    HELD_WITHIN: f64 = 3.0, "standard deviations", Practice;
}
