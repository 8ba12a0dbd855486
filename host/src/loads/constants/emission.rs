//! Constants of how likely a segment is in a state.

use crate::constant::constants;

constants! { "loads":
    /// Longest time for which a segment speaks: how far its level is off has one cause, however long it lasts.
    INDEPENDENT_FOR: f64 = 2.0, "s", Guess;
    /// How much of that another segment at the same level says again: little, for what it is off has the same cause, and something, for a level
    /// wanders.
    SPEAKS_AGAIN: f64 = 0.5, "part", Guess;
    /// Standard deviation of a load's power, as a part of its level.
    LEVEL_SPREAD: f64 = 0.11, "part", Guess;
    /// The same of a small load: a vent, a fan and a dispenser differ by more than their own spread.
    SMALL_LOAD_SPREAD: f64 = 0.5, "part", Guess;
    /// Part of all readings that fit no level: starting, stopping, averaged over a change.
    ODD_READINGS: f64 = 0.02, "part", Guess;
    /// Probability that a single reading between others is averaged over a change.
    AVERAGED: f64 = 0.5, "probability", Guess;
    /// Range of power over which odd readings are spread.
    ODD_OVER: f64 = 1_000.0, "W", Guess;
    /// Log-likelihood of a state that contradicts the heater's threshold, whatever the duration: no heater interval is ever smoothed away
    /// or stretched.
    HEATER_CONTRADICTED: f64 = -200.0, "nats", Guess;

    /// Least power of inrush over the running power of the pump.
    INRUSH_LEAST: f64 = 2.2, "factor", Practice;
    /// Greatest power of inrush over the running power of the pump: locked, a motor draws up to seven times its current.
    INRUSH_MOST: f64 = 7.0, "factor", Practice;
    /// The same of its first half cycle.
    INRUSH_FIRST_MOST: f64 = 20.0, "factor", Practice;
    /// Part of all inrush that is below the greatest of a locked motor.
    INRUSH_USUAL: f64 = 0.9, "probability", Guess;
    /// Part of the heater's power below which a reading may be inrush.
    INRUSH_BELOW_HEATER: f64 = 0.8, "part", Guess;
    /// For so long at first, a reading may be inrush whatever it takes.
    INRUSH_FIRST: f64 = 1.0, "s", Guess;

    /// Least power of a heater that gives a part of its heat, over that of the wash pump.
    PART_HEAT_FROM: f64 = 1.45, "factor", Guess;
    /// Least power of a heater that dries by a part of its heat, over the threshold above which it gives all.
    PART_DRY_FROM: f64 = 0.3, "part", Guess;
    /// Standard deviation of a heater's power as a part of it: what the mains does.
    HEATER_SPREAD: f64 = 0.06, "part", Guess;
    /// Part of all heat that is at the heater's level.
    HEAT_USUAL: f64 = 0.9, "probability", Guess;
    /// Least power of the rest of it over the heater's level.
    HEAT_LEAST: f64 = 0.3, "part", Guess;
    /// Greatest power of the rest of it over the heater's level.
    HEAT_MOST: f64 = 1.3, "factor", Guess;

    /// Part of all washing that is at the pump's level.
    WASH_USUAL: f64 = 0.90, "probability", Guess;
    /// Part of all washing above the pump's level: it starts and changes its speed.
    WASH_ABOVE: f64 = 0.05, "part", Guess;
    /// Part of all washing below the pump's level: it is worn.
    WASH_BELOW: f64 = 0.03, "part", Guess;
    /// Greatest power above the pump's level, over it.
    WASH_ABOVE_MOST: f64 = 3.0, "factor", Guess;
    /// Least power below the pump's level, over it.
    WASH_BELOW_LEAST: f64 = 0.55, "part", Guess;
    /// Part of the washing of a pump of several speeds that is at its usual one.
    AT_ONE_SPEED: f64 = 0.5, "probability", Guess;

    /// Part of all draining that is at the pump's level.
    DRAIN_USUAL: f64 = 0.9, "probability", Guess;
    /// Part of all draining below the pump's level, where that is known: it draws air.
    DRAIN_IN_AIR: f64 = 0.1, "part", Guess;
    /// Least power of a drain pump in air over its level.
    DRAIN_IN_AIR_LEAST: f64 = 0.55, "part", Guess;
    /// Greatest power of the rest of it over the pump's level: it works against whatever head there is.
    DRAIN_ABOVE_MOST: f64 = 2.0, "factor", Guess;

    /// Probability that an open valve is not heard.
    VALVE_UNHEARD: f64 = 0.02, "probability", Guess;
    /// Probability that a drain pump moves no water.
    DRAIN_UNHEARD: f64 = 0.1, "probability", Guess;
    /// Probability that a wash pump is not heard.
    PUMP_UNHEARD: f64 = 0.1, "probability", Guess;
    /// Probability that what is heard in the supply is the valve: the rest is something else.
    VALVE_IS_HEARD: f64 = 0.98, "probability", Guess;
    /// Probability that what is heard in the hose is the drain pump.
    DRAIN_IS_HEARD: f64 = 0.98, "probability", Guess;
    /// Probability that what is heard of a wash pump is one.
    PUMP_IS_HEARD: f64 = 0.9, "probability", Guess;
    /// How steeply the probability of flow rises with the logarithm of its level over the threshold: 0.95 at 1.65 times.
    HEARD_STEEPNESS: f64 = 6.0, "factor", Guess;
    /// Least level of a pickup: less is silence.
    SILENCE: f64 = 0.05, "counts of the converter", Guess;
}
