//! The constants of the measurement of intervals.

use tubtrace_units::{Amps, Celsius, Seconds};

use crate::constant::constants;

constants! { "intervals":
    /// Shortest idle time from which the level of the supply pickup is taken.
    IDLE_NOISE_FROM: f64 = 60.0, "s", Guess;
    /// Distance of damage from a run within which the run may have gone on in it: half a tick of the log.
    DAMAGE_BESIDE: f64 = 0.05, "s", Source("half of the tenth of a second that is a tick of the log");
    /// Part of the time of an interval below whose level its loudest is taken: water leaves in the first seconds of a drain, and the
    /// pump goes on.
    LOUDEST: f64 = 0.95, "part", Guess;
    /// Expanded uncertainty of a current, over that current: a clamp of class 1 and its calibration.
    CLAMP_PART: f64 = 0.03, "part", Practice;
    /// Expanded uncertainty of a small current, at least.
    CLAMP_LEAST: Amps = Amps(0.02), "A", Practice;
    /// Readings on each side of a change from which it is judged how clear it is.
    EDGE_READINGS: f64 = 10.0, "readings", Guess;
    /// Variance of the place at which a Brownian motion with a drift of a half to either side has its maximum.
    CHANGE_VARIANCE: f64 = 26.0, "factor", Source("Yao 1987, Annals of Statistics 15, 1321 to 1328; from memory, not looked up");
    /// Readings as far apart as this and farther are means in which a change shows as a part; what is nearer holds until the next, which says when it was.
    AVERAGED_FROM: Seconds = Seconds(0.5), "s", Practice;
    /// Readings farther apart than this may be of a moment, or of a part of the time.
    AVERAGED_BELOW: Seconds = Seconds(2.0), "s", Practice;
    /// Readings before a change of the model within which something may really have ended: a pump that comes up to speed for seconds passes through the
    /// levels of others.
    LOOKED_BACK: usize = 10, "readings", Guess;
    /// Readings behind it within which the next may begin.
    LOOKED_FORWARD: usize = 4, "readings", Guess;
    /// Longest rest between two things that is none of its own.
    REST_AT_MOST: Seconds = Seconds(3.0), "s", Guess;
    /// How long it usually is: relays and triacs are switched one after the other.
    REST_USUAL: Seconds = Seconds(1.0), "s", Practice;
    /// Probability that there is none.
    NO_REST: f64 = 0.2, "probability", Guess;
    /// What a surge draws at most beyond the level, as a time for which the level would draw it: several times the level for a part of a second.
    SURGE_AT_MOST: f64 = 1.0, "readings", Guess;
    /// Range of the next reading, from a tenth below the level: the rest of the surge, and water that is not in the pump yet.
    SURGE_NEXT: f64 = 0.4, "part", Guess;
    /// Probability that a load that comes up to its level still does in the next reading.
    RAMP_GOES_ON: f64 = 0.7, "probability", Guess;
    /// Standard deviation of a level, as a part of it.
    LEVEL_PART: f64 = 0.015, "part", Guess;
    /// Part of the readings that are neither before nor behind a change.
    STRAY_PART: f64 = 0.01, "part", Guess;
    /// Level below which a pickup hears itself.
    HEARD_FROM: f64 = 2.0, "counts", Guess;
    /// Power above standby that is more than the converter's noise.
    FAINT: f64 = 1.0, "W", Guess;
    /// Time for which it is drawn in a run that is seen faintly.
    FAINT_FOR: Seconds = Seconds(60.0), "s", Guess;
    /// Certainty of an interval of a run that was only heard.
    UNSEEN_CERTAINTY: f64 = 0.5, "probability", Guess;
    /// Time beyond either end of a run whose readings are looked at: what a hose does after the last drain.
    BEYOND: Seconds = Seconds(10.0), "s", Guess;
    /// Part of a run that may be lost: more may hide a whole interval, for the shortest that a chart times, a drain or a fill, lasts
    /// about a minute of some hundred.
    MAY_BE_LOST: f64 = 0.01, "part", Practice;
    /// Part of a log that may be lost: in more, a whole run may have been.
    LOG_MAY_BE_LOST: f64 = 0.2, "part", Guess;
    /// Longest gap of a cycle that is whole: learned from, and told of without "as far as seen". A longer one may hide a drain and a fill.
    LONGEST_GAP: Seconds = Seconds(120.0), "s", Guess;
    /// Readings that are lost for longer than this right beside an end of a run may hide a drain: 3 L at 10 L in a minute are 18 s.
    HIDES_A_DRAIN: Seconds = Seconds(20.0), "s", Practice;
    /// A control rests for so long between two steps: who stands still for less as the log ends may not have ended.
    RESTS_WITHIN: Seconds = Seconds(5.0), "s", Practice;
    /// Standard deviation of a clip and its pair of converter channels, degrees C: thermistor 0.2, fixed resistor 0.1 %, and water that
    /// is not quite mixed.
    CLIP_SPREAD: f64 = 0.35, "degrees C", Practice;
    /// Part of the lag's correction that is doubted: clip and pipe are two lags, of which the fit makes one.
    CORRECTION_DOUBT: f64 = 0.3, "part", Fitted;
    /// Fewest readings from which a lag is fitted.
    LAG_READINGS: usize = 8, "readings", Guess;
    /// Part at the beginning of an interval that is left out of the fit: the pipe is flushed in it.
    PIPE_FLUSHED: f64 = 0.2, "part", Guess;
    /// Shortest lag that is tried.
    SHORTEST_LAG: u32 = 4, "s", Practice;
    /// Longest lag that is tried.
    LONGEST_LAG: u32 = 60, "s", Practice;
    /// Greatest correction over how far the clip moved while it was looked at.
    CORRECTION_AT_MOST: f64 = 2.0, "factor", Guess;
    /// Smallest rise of the water from which heat tells its volume.
    LEAST_RISE: Celsius = Celsius(15.0), "degrees C", Guess;
    /// Standard deviation of the heater's power as a part of it: mains within 5 % of nominal (one standard deviation 2.5 %) makes twice
    /// that of power.
    POWER_SPREAD: f64 = 0.05, "part", Source("power goes with the square of the voltage: twice the 2.5 % of the mains");
}
