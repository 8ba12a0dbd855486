//! Constants of what else is on the meter: a refrigerator, a lamp.

use tubtrace_units::{Seconds, Watts};

use crate::constant::constants;

constants! { "loads.house":
    /// Something comes on again and again from so many times on.
    VISITS: usize = 4, "visits", Guess;
    /// Longest start of a motor, in which it draws more than its level.
    STARTS_WITHIN: Seconds = Seconds(10.0), "s", Practice;
    /// What draws between its level over this and its level times this has no second one: a compressor draws half as much again at first. A valve, a drain pump and a
    /// wash pump are further apart on most machines.
    ONE_LEVEL: f64 = 2.0, "factor", Practice;
    /// Levels of one thing from one time to the next differ by no more than this.
    LEVELS_WITHIN: f64 = 1.5, "factor", Guess;
    /// A fan that dries draws no more than this.
    FAN_MOST: Watts = Watts(40.0), "W", Practice;
    /// And is off so long after its cycle, though it may come on in turns.
    FAN_WITHIN: Seconds = Seconds(21_600.0), "s", Practice;

    /// How often a day a machine is started, on average; the number in a day is negative binomial of order two, for some start theirs far more often.
    STARTED: f64 = 2.0, "cycles a day", Practice;
    /// What else comes on does so up to this often a day: its number has a density in proportion to its inverse.
    COMES_ON: f64 = 100.0, "visits a day", Guess;
    /// How long one load of a machine runs for, on average, as the chain has it for washing: with nothing else before and behind it.
    ALONE_FOR: f64 = 1_200.0, "s", Practice;
    /// The rest of the time, in this part of all machines, it may be anything that a thing of the house may be.
    ALONE_FOR_ANY: f64 = 0.05, "part", Guess;
    /// Longest time over the shortest for which a thing of the house comes on, of which its density of time is the inverse.
    HOUSE_LENGTHS: f64 = 180.0, "factor", Guess;
    /// Odds that something else is on the meter where the machine heats in the same log: it works, and is not what has but one load left.
    MACHINE_WORKS: f64 = 10.0, "odds", Guess;
    /// Odds from which it is believed.
    BELIEVED: f64 = 20.0, "odds", Guess;

    /// Standard deviation of its steps, as a part of its level.
    STEP_SPREAD: f64 = 0.08, "part", Guess;
    /// Standard deviation of a step in what runs beside it, as a part of what that draws.
    BESIDE_SPREAD: f64 = 0.03, "part", Guess;
    /// Probability that a step of it is not seen while no heater is on.
    STEP_UNSEEN: f64 = 0.01, "probability", Guess;
    /// Width of the logarithm of time about each time for which it was seen to last, or to rest.
    LASTS_ALIKE: f64 = 0.25, "factor", Guess;
    /// Part of all times that are like none that was seen.
    LASTS_ODD: f64 = 0.1, "part", Guess;
}
