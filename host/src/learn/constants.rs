//! The constants by which examples are chosen, put in line with each other, and made into limits.

use tubtrace_units::{Amps, Celsius, Seconds};

use crate::constant::constants;

constants! { "learn":
    /// An interval of an example that is shorter than this is a blink of a relay or of a reading.
    BLINK: Seconds = Seconds(10.0), "s", Guess;
    /// Cycles are put in line as if durations of one interval had this standard deviation of the logarithm.
    SPREAD_IN_LINE: f64 = 0.4, "logarithm of a factor", Guess;
    /// Durations are the same whose squared logarithm of their ratio, over the square of SPREAD_IN_LINE, is below this: about an eighth.
    ALIKE: f64 = 0.1, "nats", Guess;
    /// However unlike their durations are, two intervals of one kind are no more unlike than this.
    UNLIKE_AT_MOST: f64 = 6.0, "nats", Guess;
    /// Cost of an interval that another cycle has not: a pause comes and goes.
    UNMATCHED_PAUSE: f64 = 0.7, "nats", Guess;
    /// See UNMATCHED_PAUSE: the same of drying.
    UNMATCHED_DRY: f64 = 3.0, "nats", Guess;
    /// See UNMATCHED_PAUSE: the same of all other kinds.
    UNMATCHED: f64 = 5.0, "nats", Guess;
    /// What a load draws is taken from intervals in which it ran alone for so long: it starts, and stops.
    DRAWN_FOR: Seconds = Seconds(5.0), "s", Guess;
    /// The same in readings: the first and the last may be averaged over a change.
    READINGS_OF_A_LEVEL: f64 = 3.0, "readings", Source("of three readings the middle one is within");
    /// Part of the cycles that must agree on what the loads draw for a machine's file to say it.
    NIGHTS_AGREE: f64 = 0.75, "part", Guess;
    /// Water that stood for hours is so much colder at the end of the fill than what stood for minutes.
    STOOD: Celsius = Celsius(8.0), "degrees C", Practice;
    /// A hold to a few degrees more takes so many times as long.
    WARMER: f64 = 1.5, "factor", Practice;
    /// A house's water varies by this much from day to day.
    SUPPLY: Celsius = Celsius(5.0), "degrees C", Practice;

    /// Standard deviation of the logarithm of a healthy interval's duration from cycle to cycle, as believed before any is seen:
    /// programmed intervals vary by seconds, holds by a few percent.
    SPREAD: f64 = 0.05, "part", Practice;
    /// The same of what a motor draws: load and water move it by a few percent.
    SPREAD_OF_CURRENT: f64 = 0.03, "part", Practice;
    /// The same of what the machine draws while it heats: an element is a resistance, and follows the mains alone.
    SPREAD_OF_HEAT: f64 = 0.01, "part", Practice;
    /// What is believed before any example is seen is worth so many examples.
    WORTH: f64 = 4.0, "examples", Guess;
    /// The probability that the next healthy cycle of a programme is outside of any of its limits of durations and currents.
    RISK: f64 = 0.02, "probability", Source("at most one healthy cycle in twenty may depart, and there are other checks beside these");
    /// So many examples of an interval show how much it varies.
    SHOWN_BY: usize = 3, "examples", Guess;
    /// What is short is cut short, by up to this, by what comes before and after.
    CUT_SHORT: Seconds = Seconds(3.0), "s", Guess;
    /// What dries and draws at least this has an element on: a fan takes a tenth of it, the smallest element four times as much.
    HEATED: Amps = Amps(1.0), "A", Practice;
    /// The lower limit of a current is this part of what the examples foresee, less CURRENT_LESS.
    CURRENT_LOWER: f64 = 0.97, "part", Guess;
    /// The upper limit of a current is so many times what the examples foresee, and CURRENT_MORE.
    CURRENT_HIGHER: f64 = 1.05, "part", Guess;
    /// See CURRENT_LOWER: what is left of the limit where a load draws next to nothing.
    CURRENT_LESS: Amps = Amps(0.02), "A", Guess;
    /// See CURRENT_HIGHER: what is added where a load draws next to nothing.
    CURRENT_MORE: Amps = Amps(0.03), "A", Guess;
    /// With fewer examples than this nobody can say which one is odd.
    ENOUGH: usize = 5, "examples", Guess;
    /// Of fewer examples, one that is unlike all others may be what one healthy cycle in twenty does, or more.
    ODD_OF: usize = 20, "examples", Source("at most one healthy cycle in twenty may depart");
    /// Examples whose modified z-score is beyond this are outliers.
    OUTLYING: f64 = 3.5, "deviations", Source(
        "Iglewicz and Hoaglin, How to Detect and Handle Outliers, 1993; NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17"
    );
    /// The part of the intervals of a programme that are about as long as one of another programme of the machine.
    IN_COMMON: f64 = 0.5, "part", Guess;
    /// How long an interval is, as believed before any of its programme is seen: the median, and the standard deviation of the logarithm.
    TYPICAL: Seconds = Seconds(120.0), "s", Guess;
    /// See TYPICAL: about a third of all intervals are shorter than 27 s or longer than 540 s.
    SPREAD_OF_TYPICAL: f64 = 1.5, "logarithm of a factor", Guess;
    /// The longest heat of a cycle is looked at for what it draws where it lasts for this at least.
    HEATS_FOR: Seconds = Seconds(60.0), "s", Guess;
    /// Heaters of two cycles that are apart by more than this draw two powers: a mains that varies by a tenth from day to day makes a fifth.
    TWO_POWERS: f64 = 1.3, "factor", Guess;
}
