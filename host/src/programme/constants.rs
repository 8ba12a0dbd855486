//! The constants by which a cycle is found to be of a programme, or of none that is known.

use tubtrace_units::Seconds;

use crate::constant::constants;

constants! { "programme":
    /// An interval is of one of so many kinds: fill, wash, heat, drain, dry or pause.
    KINDS: f64 = 6.0, "kinds", Source("the kinds that a chart may have");
    /// An interval of which nothing is known is no shorter than this, as a rule.
    SHORTEST: Seconds = Seconds(3.0), "s", Guess;
    /// And no longer than this; between them, every ratio of durations is as probable.
    LONGEST: Seconds = Seconds(7200.0), "s", Guess;
    /// The part of the intervals of a programme that nobody knows that are unlike any other of its machine.
    NEW: f64 = 0.5, "part", Guess;
    /// A programme that nobody knows is as probable beforehand as one that was seen in so many cycles.
    UNKNOWN: f64 = 1.0, "cycles", Source("Aldous, 1985: the Chinese restaurant process with a concentration of one");
    /// A programme that somebody wrote down, or typed off a sheet, is as probable beforehand as one that was seen in so many cycles: it is the one that is expected.
    WRITTEN: f64 = 5.0, "cycles", Guess;
    /// What departs from a programme is told only where the cycle is so many times as probably of that programme as of one that nobody knows.
    TOLD_AT: f64 = 20.0, "odds", Practice;
    /// The part of programmes that never heat, on a machine all of whose known programmes do: a cold rinse.
    NEVER_HEATS: f64 = 0.05, "part", Practice;
    /// Odds that a programme is one that was taught, before a cycle is looked at, in nats: three days of a machine teach most of what it runs.
    STATED_BEFORE: f64 = 2.1, "nats", Source("fitted by logistic regression on 474 cycles of the second world, seeds 1 and 2");
    /// The part of the model's log-odds that is stated: what it gets wrong of a cycle it gets wrong in each interval (as `EVIDENCE_COUNTS` of the loads).
    STATED_PART: f64 = 0.1, "part", Source("as STATED_BEFORE");
    /// More of the model's log-odds than this says no more.
    STATED_MOST: f64 = 20.0, "nats", Source("as STATED_BEFORE");
}
