//! The constants that checks of several subjects share; those of one subject stand in its file.

use tubtrace_units::{Seconds, Watts};

use crate::constant::constants;

constants! { "checks":
    /// What is outside of its limits is told from this probability on that the loads are what they are taken for; below it is listed apart.
    TOLD_FROM: f64 = 0.6, "probability", Guess;
    /// Loads are shown without a mark of doubt from this probability on; what is told between the two is told with the doubt beside it.
    PLAIN_FROM: f64 = 0.8, "probability", Guess;
    /// Probability of a measurement that does not rest on what the loads are taken for.
    SURE: f64 = 0.95, "probability", Guess;
    /// Probability of what is as likely as not.
    NOBODY_KNOWS: f64 = 0.5, "probability", Practice;
    /// Coverage factor of expanded uncertainties: about 95 % of a normal distribution.
    COVERAGE: f64 = 2.0, "factor", Source("JCGM 100:2008, 6.3.3");
    /// Expanded uncertainty of how long something lasted, in readings of the log.
    LASTED_DOUBT: f64 = 2.0, "readings", Guess;

    /// Wherever so many readings begin, one of them lies wholly within an event that is as long as all of them.
    READINGS: f64 = 2.0, "readings", Source("where two readings fit, one lies wholly within");
    /// An interval without limits lasts about as long as a short drain.
    TYPICAL: Seconds = Seconds(20.0), "s", Practice;

    /// Of fewer good runs than this, little is known of what is usual.
    FEW: usize = 6, "runs", Guess;
    /// Of few good runs the limit of what is usual is this many times the most that any of them did.
    ROOM_OF_FEW: f64 = 2.0, "factor", Fitted;
    /// Of many good runs the limit of what is usual is this many times the most that any of them did.
    ROOM_OF_MANY: f64 = 1.5, "factor", Fitted;

    /// A pickup hears at least its converter's noise: one that hears less has come off.
    HEARS_ITSELF: f64 = 0.5, "counts", Practice;
    /// What the drain pickup hears of itself is this quantile of what it hears in the run.
    QUIETEST: f64 = 0.05, "part", Guess;

    /// The coil of an inlet valve takes no more than this above what the machine takes idle, and most drain pumps take more.
    A_VALVE: Watts = Watts(12.0), "W", Practice;
    /// A control that is awake, as while something soaks or while it shows an error, draws this much more than one that sleeps or has no mains.
    AWAKE: Watts = Watts(1.0), "W", Guess;

    /// Readings that are lost for longer than this may hide a drain and a fill, each as short as they ordinarily are. What is held by order or by
    /// time in that water cannot be judged.
    HIDES_A_WATER: Seconds = Seconds(60.0), "s", Practice;

    /// A wash or a hold lasts this long for its steadiness to be judged, and a sag of the mains this long to be one.
    STEADY: Seconds = Seconds(45.0), "s", Fitted;
    /// Readings this soon after the beginning of an interval are still of what starts in it.
    SETTLES: Seconds = Seconds(6.0), "s", Guess;
    /// Readings this shortly before the end of an interval may be of what comes after it.
    ENDS: Seconds = Seconds(2.0), "s", Guess;
    /// A wash pump that starts is looked at for this long.
    START: Seconds = Seconds(9.0), "s", Guess;
    /// A wash pump surges while it draws more than this many times its running power.
    SURGES: f64 = 1.5, "factor", Guess;
    /// A wash pump that starts is on while it draws more than this part of its running power.
    RUNS: f64 = 0.6, "part", Guess;
    /// The heater is on where more than this part of its power is drawn.
    HEATS: f64 = 0.85, "part", Guess;
}
