//! Constants of the passes that take away what is short, name small loads by their place in a run, and find runs that were only heard.

use tubtrace_units::Seconds;

use crate::constant::constants;

constants! { "loads":
    /// Shortest part of heat of a heater.
    PART_HEAT_LASTS: Seconds = Seconds(30.0), "s", Practice;
    /// Fewer readings than this in a change belong to what comes after.
    IN_CHANGE: f64 = 2.5, "readings", Guess;
    /// Fewer readings than this within something belong to it, if they are uncertain.
    STRAY: f64 = 1.5, "readings", Guess;
    /// Certainty below which they do.
    STRAY_CERTAINTY: f64 = 0.9, "probability", Guess;
    /// But what draws something for so long, between nothing and nothing, ran: a mean of it is no stray reading.
    STRAY_LASTS: Seconds = Seconds(10.0), "s", Practice;
    /// Longest time between two pulses of one drain.
    DRAIN_RESTS: Seconds = Seconds(10.0), "s", Guess;

    /// Part of all machines that dry with a fan of which nothing but its length tells it from the drain pump.
    FAN_LIKE_DRAIN: f64 = 0.003, "probability", Guess;
    /// Part of all drains whose pump does not stop.
    NEVER_STOPS: f64 = 0.01, "probability", Guess;

    /// Shortest span that is named by its place.
    ORDER_LASTS: Seconds = Seconds(25.0), "s", Guess;
    /// Longest time from a fill to a wash or a drain: a control may wait, and a pump that is seized tries again.
    FILL_LEADS_WITHIN: Seconds = Seconds(480.0), "s", Guess;
    /// Greatest certainty of a fill that leads straight to a wash or a drain.
    LEADS_STRAIGHT: f64 = 0.7, "probability", Guess;
    /// Greatest certainty that what leads to no water is no fill: below the 0.6 from which on something is told.
    LEADS_NOWHERE: f64 = 0.55, "probability", Guess;
    /// A tub of water is pumped out within this.
    DRAINS_WITHIN: Seconds = Seconds(240.0), "s", Practice;
    /// Greatest certainty of what is named by its place in the run alone: likewise.
    BY_PLACE: f64 = 0.5, "probability", Guess;

    /// Shortest fill of a run that was only heard: less is a tap in the kitchen.
    UNSEEN_FILL_LASTS: Seconds = Seconds(15.0), "s", Practice;
    /// Longest time between two fills of one such run.
    UNSEEN_FILLS_WITHIN: Seconds = Seconds(2_700.0), "s", Practice;
    /// Fewest fills of a run that was only heard.
    UNSEEN_FILLS: usize = 3, "fills", Guess;
    /// Longest time after the last fill in which what is left of a heater in the clamp is spurious.
    SPURIOUS_WITHIN: Seconds = Seconds(2_700.0), "s", Guess;
    /// Power above standby up to which nothing but the control runs.
    NOTHING_DRAWN: f64 = 2.0, "W", Guess;
    /// Least part of a fill whose power must be known.
    FILL_KNOWN: f64 = 0.9, "part", Guess;
}
