//! Constants of the passes that look for what is smaller than the spread of a level: overlay, onset, purge and dispenser.
//!
//! They are for loads that stay on, purges and dispensers, which few machines have: those of `onset` and half of those of `purge` and `dispenser` move nothing by
//! half or twice on six seeds of the score, days of three real machines and fourteen days of the second world. No data of ours exercises them.

use tubtrace_units::{Seconds, Watts};

use crate::constant::constants;

constants! { "loads":
    /// Cost of a small load that goes on or off beside what goes on.
    OVERLAY_TOGGLE: f64 = 9.0, "nats", Guess;
    /// The same in washing, where a dispenser belongs.
    OVERLAY_TOGGLE_IN_WASH: f64 = 8.0, "nats", Guess;
    /// Median of what fills or drains of a run draw above their level from which on something may stay on.
    OVERLAY_RAISED: f64 = 3.0, "W", Guess;
    /// Fewest segments that say so.
    OVERLAY_SEGMENTS: usize = 4, "segments", Guess;
    /// Shortest segment that counts for an overlay.
    OVERLAY_LASTS: Seconds = Seconds(8.0), "s", Guess;
    /// Level of the supply pickup over its threshold from which on water is plainly heard.
    PLAINLY_HEARD: f64 = 2.0, "factor", Guess;

    /// Time on either side of a step over which power is compared.
    ONSET_WINDOW: Seconds = Seconds(12.0), "s", Guess;
    /// Longest rest within one run in which an overlay may have begun.
    ONSET_REST: Seconds = Seconds(60.0), "s", Guess;
    /// Smallest extra power that stands out from the wash pump's fluctuation.
    ONSET_STANDS_OUT: Watts = Watts(2.0), "W", Guess;
    /// Time after which a pump that starts has settled.
    ONSET_SETTLES: Seconds = Seconds(3.0), "s", Guess;

    /// Shortest half of a purge.
    PURGE_HALF_SHORTEST: usize = 3, "s", Practice;
    /// Longest half of a purge.
    PURGE_HALF_LONGEST: usize = 8, "s", Practice;
    /// Least height of the first step of a purge over drain pump and valve together.
    PURGE_BOTH_LEAST: f64 = 0.7, "part", Guess;
    /// Greatest height of it, likewise.
    PURGE_BOTH_MOST: f64 = 1.4, "factor", Guess;
    /// Least height of what is left after it over the valve.
    PURGE_VALVE_LEAST: f64 = 0.4, "part", Guess;
    /// Greatest height of it, likewise.
    PURGE_VALVE_MOST: f64 = 1.9, "factor", Guess;
    /// Smallest step of a purge that stands out, as a part of the wash pump's power.
    PURGE_STANDS_OUT: f64 = 0.12, "part", Guess;
    /// Steady time on either side of a purge.
    PURGE_MARGIN: usize = 4, "s", Guess;
    /// Greatest departure from the pump's power there, as a part of the valve's.
    PURGE_STEADY: f64 = 0.3, "part", Guess;
    /// Least part of the whole step that the valve's is taken for there.
    PURGE_VALVE_PART: f64 = 0.2, "part", Guess;
    /// Odds that these two steps are a purge (`order`): 72 of 72 in 10 machines of the score, whose purges are what is looked for; in the second world and on
    /// real days none is found.
    PURGES: f64 = 21.0, "odds", Fitted;

    /// Least power that a wax motor or solenoid adds to the pump's.
    DISPENSER_LEAST: f64 = 2.5, "W", Practice;
    /// Greatest power that a wax motor or solenoid adds to the pump's.
    DISPENSER_MOST: f64 = 17.0, "W", Practice;
    /// Smallest step of a dispenser that stands out from the wash pump's fluctuation, as a part of its power.
    DISPENSER_STANDS_OUT: f64 = 0.02, "part", Guess;
    /// What stands out from readings that are rounded is so many of their steps: one is rounding, two are rounding at either end.
    DISPENSER_ROUNDINGS: f64 = 3.0, "steps", Guess;
    /// Readings that are rounded are told by so many that differ.
    ROUNDED_READINGS: usize = 8, "readings", Guess;
    /// Shortest time for which a dispenser is on.
    DISPENSER_SHORTEST: f64 = 8.0, "s", Practice;
    /// Longest time for which a dispenser is on.
    DISPENSER_LONGEST: f64 = 70.0, "s", Practice;
    /// Time before and after it in which the pump's power is its own.
    DISPENSER_MARGIN: usize = 4, "s", Guess;
    /// Part of the step that may be left there.
    DISPENSER_LEFT: f64 = 0.4, "part", Guess;
    /// Greatest fluctuation while a dispenser is on, as a part of the step.
    DISPENSER_FLAT: f64 = 0.3, "part", Guess;
    /// Least step that is taken for that.
    DISPENSER_FLAT_STEP: f64 = 3.0, "W", Guess;
    /// Longest time between the end of a dispenser and heat that is still the dispenser: the last second before heat is averaged over the
    /// change.
    DISPENSER_TO_HEAT: Seconds = Seconds(1.5), "s", Guess;

    /// Distance of a change from the second in which it shows, at most.
    EDGE_WITHIN: Seconds = Seconds(1.5), "s", Guess;
    /// Part of the least step above which a reading is on its upper side.
    EDGE_AT: f64 = 0.7, "part", Guess;
}
