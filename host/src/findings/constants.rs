//! The constants of findings. How strongly each kind of finding speaks for each cause stands in `causes.toml`.

use tubtrace_units::Seconds;

use crate::constant::constants;

constants! { "findings":
    /// Each kind of finding that a cause does not explain speaks against it by this much, on the scale of the weights in `causes.toml`.
    UNEXPLAINED: f64 = 1.0, "weight", Guess;
    /// A kind of finding that comes several times speaks for its cause more strongly by this part of the logarithm of their number.
    AGAIN: f64 = 0.5, "part", Guess;
    /// A cause is named beside a finding that speaks for it at least so strongly.
    WORTH_NAMING: f64 = 1.3, "weight", Fitted;
    /// A suspect that is named beside a kind of finding, and for which no weight is given, is spoken for by this much.
    ONLY_NAMED: f64 = 0.5, "weight", Guess;
    /// Probability of a suspect goes with the exponential of its weight times this: the weights are about logarithms of how much more often
    /// something is found with a cause than without.
    SHARPNESS: f64 = 0.7, "per weight", Guess;
    /// Weight of a cause that nobody thought of.
    SOMETHING_ELSE: f64 = 0.0, "weight", Guess;

    /// Probability that a measurement shows something where none of its suspects is at fault: a slip, or something else that is wrong as well.
    FALSE_SIGN: f64 = 0.03, "probability", Guess;
    /// What each step of effort costs, in bits: a question is asked before a panel comes off for so much less.
    EFFORT: f64 = 0.1, "bits", Guess;

    /// So many of the causes that explain most are put first beside a finding.
    PUT_FIRST: usize = 3, "causes", Guess;
    /// So many suspects are told for one finding at most.
    MOST_SUSPECTS: usize = 4, "suspects", Guess;

    /// Heater, wash pump or fill valve that ran for so long is not broken for good.
    RAN: Seconds = Seconds(45.0), "s", Guess;
    /// Likewise a drain pump: a drain of a common machine takes at least so long.
    RAN_DRAIN: Seconds = Seconds(15.0), "s", Guess;

    /// What is beyond its limit by less than this part of it is slight.
    PLAIN_BEYOND: f64 = 0.1, "part", Guess;
    /// What is beyond its limit by this part of it, or more, is grave.
    GRAVE_FROM: f64 = 1.0, "part", Guess;

    /// Ratio to the chart from which on what all loads draw is a matter of scale: a house's mains varies by a tenth, and 230 V is 1.9 times
    /// 120 V.
    OFF_BY: f64 = 1.4, "factor", Guess;
    /// What loads draw is off by one common factor where their ratios to the chart differ from it by no more than this.
    LOADS_ALIKE: f64 = 1.2, "factor", Guess;
    /// The same where heater, wash pump and drain pump are all of that ratio: the mains moves a heater's current by a tenth, and not that of motors.
    OFF_BY_LITTLE: f64 = 1.15, "factor", Guess;
    /// Likewise how far they may be from their common factor: pumps move by some percent from one water to the next.
    LOADS_THE_SAME: f64 = 1.06, "factor", Guess;
}
