//! The constants by which limits are made of examples.

use tubtrace_units::Seconds;

use crate::constant::constants;

constants! { "learn":
    /// Standard deviation of the logarithm of a healthy interval's duration from cycle to cycle, as believed before any is seen:
    /// programmed intervals vary by seconds, holds by a few percent.
    SPREAD: f64 = 0.05, "part", Practice;
    /// The same of what a load draws: the house's mains moves it by a few percent.
    SPREAD_OF_CURRENT: f64 = 0.03, "part", Practice;
    /// What is believed before any example is seen is worth so many examples.
    WORTH: f64 = 4.0, "examples", Guess;
    /// The next healthy example is above its upper limit with probability 0.001, and below its lower one likewise: the quantile 0.999 of
    /// the standard normal distribution.
    REACH: f64 = 3.090_232_306, "deviations", Guess;
    /// With fewer examples than this nobody can say which one is odd.
    ENOUGH: usize = 5, "examples", Guess;
    /// Examples whose modified z-score is beyond this are outliers.
    OUTLYING: f64 = 3.5, "deviations", Source(
        "Iglewicz and Hoaglin, How to Detect and Handle Outliers, 1993; NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17"
    );
    /// How long an interval is, as believed before any of its programme is seen: the median, and the standard deviation of the logarithm.
    TYPICAL: Seconds = Seconds(120.0), "s", Guess;
    /// See TYPICAL: about a third of all intervals are shorter than 27 s or longer than 540 s.
    SPREAD_OF_TYPICAL: f64 = 1.5, "logarithm of a factor", Guess;
}
