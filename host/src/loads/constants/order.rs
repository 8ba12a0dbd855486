//! Constants of the passes that take away what is short, name small loads by their place in a run, and find runs that were only heard.
//!
//! Odds of a place are counted on the spans that it speaks of, each once, in the healthy days and those with faults of the second world, seeds 1 to 3 (watts), and
//! the nights of the score, seeds 300 to 311: (right + 1/2) to (wrong + 1/2), which is even where nothing was seen (R. E. Krichevsky and V. K. Trofimov, IEEE
//! Transactions on Information Theory 27, 1981). What one machine does it does again, so they are no more than as many machines would give that were all right.

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

    /// Shortest span that is named by its place.
    ORDER_LASTS: Seconds = Seconds(25.0), "s", Guess;
    /// Longest time from a fill to a wash or a drain: a control may wait, and a pump that is seized tries again.
    FILL_LEADS_WITHIN: Seconds = Seconds(480.0), "s", Guess;
    /// A tub of water is pumped out within this: a machine that lets water in meanwhile takes four minutes.
    DRAINS_WITHIN: Seconds = Seconds(300.0), "s", Practice;

    /// Water comes in within this, mostly.
    FILLS_WITHIN: Seconds = Seconds(120.0), "s", Practice;
    /// Odds that something small before the last wash, not behind heat and no longer than that, is a valve: 161 of 162 spans, 15 and 1 machines; of
    /// those that are longer 11 of 21, which is even.
    SMALL_FILLS: f64 = 31.0, "odds", Fitted;
    /// Odds that something small which draws what the valve does, and leads straight to water that is used, is a valve that is not heard: 1 of 1.
    SILENT_FILLS: f64 = 3.0, "odds", Fitted;
    /// Odds that what leads nowhere after the last wash, in a tub where water may be left, is the drain pump, where it lasts no longer than a tub takes: 25 of 27 spans, 6 and 1 machines.
    LAST_DRAINS: f64 = 10.2, "odds", Fitted;
    /// Odds that it dries and is no drain pump where it lasts longer: 57 of 60 spans, 7 and 3 machines.
    LAST_DRIES: f64 = 15.0, "odds", Fitted;
    /// Odds that something small after the last wash, not behind heat, is no valve although it draws what the valve does: 3 of 4 spans.
    LAST_SMALL: f64 = 2.3, "odds", Fitted;
    /// Odds that what draws what the drain pump does, and goes on for longer than a tub takes before the end, is the wash pump: 62 of 62 spans, 8 machines.
    LONG_WASHES: f64 = 17.0, "odds", Fitted;

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
