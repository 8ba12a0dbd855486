//! Constants of what loads draw: what is common before a trace is seen, and how that of one machine is learned from its trace.

use tubtrace_units::{Seconds, Watts};

use crate::constant::constants;

constants! { "loads":
    /// Common power of a fill valve.
    COMMON_FILL: f64 = 11.0, "W", Practice;
    /// Standard deviation of the logarithm of a fill valve's power, from machine to machine.
    COMMON_FILL_SPREAD: f64 = 0.3, "factor", Practice;
    /// Common power of a drain pump.
    COMMON_DRAIN: f64 = 33.0, "W", Practice;
    /// Standard deviation of the logarithm of a drain pump's power, from machine to machine.
    COMMON_DRAIN_SPREAD: f64 = 0.45, "factor", Practice;
    /// Common power of a wash pump.
    COMMON_WASH: f64 = 100.0, "W", Practice;
    /// Standard deviation of the logarithm of a wash pump's power, from machine to machine.
    COMMON_WASH_SPREAD: f64 = 0.5, "factor", Practice;
    /// Power of a vent, a fan or a wax motor; not learned, since nothing tells them from each other.
    SMALL_LOAD: f64 = 8.0, "W", Practice;
    /// Power above which a load that lasts can only be a heater.
    HEATER_AT_LEAST: f64 = 400.0, "W", Practice;
    /// Time above that power after which there is a heater: a stalled pump passes it too, but never for so long.
    HEATER_LASTS: f64 = 20.0, "s", Practice;
    /// Part of a heater's greatest power above which it gives all of its heat.
    HEATER_WHOLE: f64 = 0.95, "part", Guess;
    /// Longest time for which a locked pump draws its current at a time: then its protector opens.
    STALLS_FOR: Seconds = Seconds(10.0), "s", Practice;
    /// Power of a heater that has not been seen.
    COMMON_HEATER: f64 = 2_000.0, "W", Practice;
    /// Least power of a fill valve: below there is no such load.
    FILL_LEAST: f64 = 6.0, "W", Practice;
    /// The same of one whose water is heard: beside what is always on it adds next to nothing to a current that leads where its own lags.
    FILL_HEARD_LEAST: f64 = 0.5, "W", Guess;
    /// Least watts of a load over its volt-amperes: a small motor or coil lags by up to 65 degrees.
    POWER_FACTOR_LEAST: f64 = 0.42, "part", Practice;
    /// Greatest power of a fill valve.
    FILL_MOST: f64 = 30.0, "W", Practice;
    /// Least power of a drain pump.
    DRAIN_LEAST: f64 = 10.0, "W", Practice;
    /// Greatest power of a drain pump.
    DRAIN_MOST: f64 = 200.0, "W", Practice;
    /// Least power of a wash pump.
    WASH_LEAST: f64 = 30.0, "W", Practice;
    /// Greatest power of a wash pump.
    WASH_MOST: f64 = 600.0, "W", Practice;
    /// Standard deviation of a meter of power.
    POWER_METER_SPREAD: Watts = Watts(2.2), "W", Source("meters at hand resolve about 2 W");
    /// Standard deviation of a clamp of 16 mA a count at 230 V: RMS over a window is finer than a count.
    CLAMP_SPREAD: Watts = Watts(1.2), "W", Guess;

    /// Power above which something runs.
    RUNS_ABOVE: f64 = 8.0, "W", Guess;
    /// Shortest segment that is steady.
    STEADY_SEGMENT: f64 = 2.0, "s", Guess;
    /// Width of a bin of the histogram of the logarithm of power.
    HISTOGRAM_STEP: f64 = 0.02, "factor", Guess;
    /// Standard deviation of the histogram's smoothing kernel: about the spread of a level.
    HISTOGRAM_WIDTH: f64 = 0.10, "factor", Guess;
    /// Power above standby from which the histogram begins.
    HISTOGRAM_FROM: f64 = 4.0, "W", Guess;
    /// Longest time for which one segment counts in the histogram, so that short loads are seen beside long ones.
    HISTOGRAM_LONGEST: f64 = 30.0, "s", Guess;
    /// Least height of a peak of the histogram.
    PEAK_AT_LEAST: f64 = 2.0, "s", Guess;
    /// So many peaks, at most, are tried as levels.
    PEAKS: usize = 8, "peaks", Guess;
    /// Least ratio of drain pump to fill valve among candidates.
    CANDIDATES_DRAIN_APART: f64 = 1.2, "factor", Guess;
    /// Least ratio of two speeds of a wash pump: less is the spread of one.
    SPEEDS_APART: f64 = 1.25, "factor", Guess;
    /// So many pairs of a fill valve and a drain pump, at most, are tried with a wash pump of several speeds.
    WITH_SPEEDS: usize = 5, "pairs", Guess;
    /// Part of all machines whose wash pump has several speeds.
    SEVERAL_SPEEDS: f64 = 0.02, "probability", Guess;
    /// Part of the evidence that counts between hypotheses: one machine does in every water what it did in the first, and what the model gets wrong it
    /// gets wrong each time (coarsening of a likelihood: J. W. Miller and D. B. Dunson, Journal of the American Statistical Association 114, 2019).
    EVIDENCE_COUNTS: f64 = 0.1, "part", Guess;
    /// Logarithm of the ratio of two levels below which hypotheses do not differ in it: twice the spread of a level.
    LEVELS_ALIKE: f64 = 0.2, "factor", Guess;
    /// So many candidates, at most, are refined: some of them find what another found.
    CANDIDATES_TRIED: usize = 10, "candidates", Guess;
    /// So many candidates settle on what they find before they are compared.
    CANDIDATES_SETTLED: usize = 6, "candidates", Guess;
    /// Shortest time from which a level is learned: a few readings in the middle of changes are none.
    LEVEL_FROM: f64 = 15.0, "s", Guess;

    /// Part of the loudest fill below which what the board took for a fill is none.
    FILL_LOUD: f64 = 0.3, "part", Guess;
    /// Part of the busy time in which a machine drains: a few minutes of an hour.
    DRAINS_FOR: f64 = 1.0 / 50.0, "part", Practice;
    /// Level of flow over that of silence where no flow has been heard.
    FLOW_OVER_QUIET: f64 = 10.0, "factor", Guess;
    /// Least threshold of the supply pickup over its level of silence.
    SUPPLY_OVER_QUIET: f64 = 2.0, "factor", Guess;
    /// Least threshold of the drain pickup over its level of silence: until water has been heard the pump is the loudest there is in the
    /// hose.
    DRAIN_OVER_QUIET: f64 = 8.0, "factor", Guess;
    /// Least ratio of the level with the wash pump to that without at which the drain pickup hears the pump.
    PUMP_HEARD: f64 = 2.0, "factor", Guess;
    /// Least level without the wash pump that is believed.
    PUMP_UNHEARD_AT_LEAST: f64 = 0.5, "counts of the converter", Guess;
}
