//! Constants of levels that a machine's file gives.

use crate::constant::constants;

constants! { "loads":
    /// Probability that a load of a known machine draws something else than its file says.
    CHANGED: f64 = 0.02, "probability", Guess;
    /// Probability that nothing in a machine's file holds: it is another machine, or another clamp.
    OTHER: f64 = 0.02, "probability", Guess;
    /// Part of the time in which anything runs that the levels of a file must explain for no others to be tried.
    EXPLAINS: f64 = 0.95, "part", Guess;
    /// Logarithm of the ratio of a heater's power to that of its file up to which it is the same: what the mains does, and more.
    HEATER_APART: f64 = 0.25, "factor", Guess;
    /// Standard deviation of the logarithm of an element's power, from run to run: the square of the volts, which are within a tenth of the nominal for
    /// 95 % of a week, and mostly nearer.
    MAINS_MOVES: f64 = 0.06, "factor", Source("EN 50160:2010, 4.2.2 (from memory)");
    /// That counts as much as what was seen in so many runs of the machine.
    MAINS_COUNTS: f64 = 2.0, "runs", Guess;
    /// Odds below which it stays in doubt whether the heater of a run is on with the wash pump or without.
    DOUBTED: f64 = 50.0, "odds", Guess;
    /// So many spreads from its level a load still has it.
    AT_ITS_LEVEL: f64 = 3.0, "factor", Guess;
}
