//! Numbers of the inference of loads, in the order of its steps. Where a number has no source it says so: "common practice" is what
//! appliances of this kind do, "guess" is what works on simulated and real logs and was not derived from anything.

use std::ops::Range;

use tubtrace_units::{Seconds, Watts};

// Segments: stretches of steady readings.

/// Two stretches that are less apart than this are one after another: times are sums of tenths, and this is their rounding.
pub(crate) const ROUNDING: f64 = 0.01;

/// Readings of a segment differ from its middle by no more than so many watts, or this part of its power. Meters at hand resolve about
/// 2 W, and a steady load moves a few percent with the mains; guess.
pub(crate) const SEGMENT_POWER: (f64, f64) = (2.5, 0.05);

/// Greatest ratio of flow noise within a segment; guess.
pub(crate) const SEGMENT_NOISE: f64 = 2.0;

/// What a pickup hears of itself, in counts of the converter; guess.
pub(crate) const PICKUP_OWN_NOISE: f64 = 2.0;

/// Longest segment, so that a slow drift does not hide in one; guess.
pub(crate) const SEGMENT_LONGEST: Seconds = Seconds(60.0);

// Runs before their loads are known, and their scale.

/// Idle time after which another run begins. Common practice, no source: no programme waits for longer.
pub(crate) const RUNS_APART: Seconds = Seconds(600.0);

/// Power below which a machine is idle, in watts: its control draws less. Common practice, no source.
pub(crate) const IDLE_BELOW: f64 = 6.0;

/// How much the power of a control that waits varies, in watts and as a part of it; guess.
pub(crate) const IDLE_STEADY: (f64, f64) = (1.5, 0.2);

/// Power below which a machine is idle if it stays so for [`RUNS_APART`], in watts: through a clamp for a tenth of the current the
/// control alone draws tens of watts; guess.
pub(crate) const IDLE_SMALL_CLAMP: f64 = 40.0;

/// Longest time at the end of the clamp's range after which a run still says what its loads draw; guess.
pub(crate) const CLIPPED_AT_MOST: Seconds = Seconds(10.0);

/// Ratio to the other runs, both of usual and of greatest power, above which a run was metered by another clamp. A house's mains varies by
/// a tenth, and no fault makes all loads draw twice as much; guess.
pub(crate) const OUT_OF_SCALE: f64 = 2.5;

/// Part of the time of a run below whose power its greatest power is taken: peaks are no loads; guess.
pub(crate) const MOST_DRAWN: f64 = 0.97;

/// Shortest programme whose power is compared with others. Common practice, no source.
pub(crate) const PROGRAMME_LASTS: Seconds = Seconds(1_200.0);

/// Greatest power of a run, in watts, below which it neither washes nor heats and says nothing of the others. Common practice, no source.
pub(crate) const PROGRAMME_DRAWS: f64 = 150.0;

// What loads draw.

/// Common power of a fill valve in watts, and the standard deviation of its logarithm. Common practice, no source.
pub(crate) const COMMON_FILL: (f64, f64) = (11.0, 0.3);

/// The same of a drain pump. Common practice, no source.
pub(crate) const COMMON_DRAIN: (f64, f64) = (33.0, 0.45);

/// The same of a wash pump. Common practice, no source.
pub(crate) const COMMON_WASH: (f64, f64) = (100.0, 0.5);

/// Power of a vent, a fan or a wax motor, in watts; not learned, since nothing tells them from each other. Common practice, no source.
pub(crate) const SMALL_LOAD: f64 = 8.0;

/// Power above which a load that lasts can only be a heater, in watts. Common practice, no source.
pub(crate) const HEATER_AT_LEAST: f64 = 400.0;

/// Time above that power after which there is a heater, in seconds: a stalled pump passes it too, but never for so long. Common practice,
/// no source.
pub(crate) const HEATER_LASTS: f64 = 20.0;

/// Power of a heater that has not been seen, in watts. Common practice, no source.
pub(crate) const COMMON_HEATER: f64 = 2_000.0;

/// Least and greatest power of a fill valve, in watts: outside there is no such load. Common practice, no source.
pub(crate) const FILL_BAND: (f64, f64) = (6.0, 30.0);

/// The same of a drain pump. Common practice, no source.
pub(crate) const DRAIN_BAND: (f64, f64) = (10.0, 120.0);

/// The same of a wash pump. Common practice, no source.
pub(crate) const WASH_BAND: (f64, f64) = (30.0, 600.0);

/// Standard deviation of a meter of power: it resolves about 2 W, as those at hand do.
pub(crate) const POWER_METER_SPREAD: Watts = Watts(2.2);

/// Standard deviation of a clamp of 16 mA a count at 230 V: RMS over a window is finer than a count; guess.
pub(crate) const CLAMP_SPREAD: Watts = Watts(1.2);

// Learning what the loads of this machine draw.

/// Power above which something runs, in watts; guess.
pub(crate) const RUNS_ABOVE: f64 = 8.0;

/// Shortest segment that is steady, in seconds; guess.
pub(crate) const STEADY_SEGMENT: f64 = 2.0;

/// Width of a bin of the histogram of the logarithm of power; guess.
pub(crate) const HISTOGRAM_STEP: f64 = 0.02;

/// Standard deviation of its smoothing kernel: about the spread of a level; guess.
pub(crate) const HISTOGRAM_WIDTH: f64 = 0.10;

/// Power above standby from which it begins, in watts; guess.
pub(crate) const HISTOGRAM_FROM: f64 = 4.0;

/// Longest time for which one segment counts in it, in seconds, so that short loads are seen beside long ones; guess.
pub(crate) const HISTOGRAM_LONGEST: f64 = 30.0;

/// Least height of a peak, in seconds; guess.
pub(crate) const PEAK_AT_LEAST: f64 = 2.0;

/// Peaks that are tried as levels; guess.
pub(crate) const PEAKS: usize = 8;

/// Least ratio of wash pump to drain pump and of drain pump to fill valve among candidates; guess.
pub(crate) const CANDIDATES_APART: (f64, f64) = (1.4, 1.2);

/// Least ratio of drain pump to fill valve and of wash pump to drain pump once they are refined; guess.
pub(crate) const REFINED_APART: (f64, f64) = (1.1, 1.2);

/// The same ratios below which two levels are one load read as two, and what that costs, as a log-probability; guess.
pub(crate) const MERGED: (f64, f64) = (1.3, 1.5);
pub(crate) const MERGED_COSTS: f64 = 8.0;

/// Candidates that settle on what they find before they are compared; guess.
pub(crate) const CANDIDATES_SETTLED: usize = 6;

/// Shortest time from which a level is learned, in seconds: a few readings in the middle of changes are none; guess.
pub(crate) const LEVEL_FROM: f64 = 15.0;

/// What levels cost under which the wash pump hardly runs, as a log-probability: it happens, to a machine whose pump is seized; guess.
pub(crate) const ODD_SHARES: f64 = 20.0;

/// Part of the loudest fill below which what the board took for a fill is none; guess.
pub(crate) const FILL_LOUD: f64 = 0.3;

/// Part of the busy time in which a machine drains: a few minutes of an hour. Common practice, no source.
pub(crate) const DRAINS_FOR: f64 = 1.0 / 50.0;

/// Level of flow over that of silence where no flow has been heard; guess.
pub(crate) const FLOW_OVER_QUIET: f64 = 10.0;

/// Least thresholds of the supply pickup and of the drain pickup, over the level of silence: until water has been heard the pump is the
/// loudest there is in the hose; guess.
pub(crate) const THRESHOLD_OVER_QUIET: (f64, f64) = (2.0, 8.0);

/// Least ratio of the level with the wash pump to that without at which the drain pickup hears the pump, and the least level that the
/// latter is taken for, in counts; guess.
pub(crate) const PUMP_HEARD: (f64, f64) = (2.0, 0.5);

// How likely a segment is in a state.

/// Longest time for which a segment speaks, in seconds: how far its level is off has one cause, however long it lasts; guess.
pub(crate) const INDEPENDENT_FOR: f64 = 2.0;

/// Standard deviation of a load's power, as a part of its level; guess.
pub(crate) const LEVEL_SPREAD: f64 = 0.11;

/// The same of a small load: a vent, a fan and a dispenser differ by more than their own spread; guess.
pub(crate) const SMALL_LOAD_SPREAD: f64 = 0.5;

/// Part of all readings that fit no level: starting, stopping, averaged over a change; guess. They are spread over so many watts.
pub(crate) const ODD_READINGS: f64 = 0.02;
pub(crate) const ODD_OVER: f64 = 1_000.0;

/// Log-likelihood of a state that contradicts the heater's threshold, whatever the duration: no heater interval is ever smoothed away
/// or stretched.
pub(crate) const HEATER_CONTRADICTED: f64 = -200.0;

/// Least and greatest power of inrush, and the greatest of its first half cycle, over the running power of the pump. Locked, a motor draws
/// up to seven times its current. Common practice, no source.
pub(crate) const INRUSH: (f64, f64, f64) = (2.2, 7.0, 20.0);

/// Part of all inrush that stays below the first of these; guess.
pub(crate) const INRUSH_USUAL: f64 = 0.9;

/// Part of the heater's power below which a reading may be inrush; in its first seconds, whatever it takes. Guess.
pub(crate) const INRUSH_BELOW_HEATER: f64 = 0.8;
pub(crate) const INRUSH_FIRST: f64 = 1.0;

/// Least power of a heater that gives a part of its heat, over that of the wash pump; guess.
pub(crate) const PART_HEAT_FROM: f64 = 1.45;

/// Standard deviation of a heater's power as a part of it: what the mains does; guess.
pub(crate) const HEATER_SPREAD: f64 = 0.06;

/// Part of all heat that is at the heater's level, and the range of the rest over it; guess.
pub(crate) const HEAT_USUAL: f64 = 0.9;
pub(crate) const HEAT_RANGE: (f64, f64) = (0.3, 1.3);

/// Parts of all washing at the pump's level, above it (it starts and changes its speed) and below (it is worn); guess.
pub(crate) const WASH_PARTS: [f64; 3] = [0.90, 0.05, 0.03];

/// Greatest power above and least below, over the pump's; guess.
pub(crate) const WASH_RANGE: (f64, f64) = (3.0, 0.55);

/// Part of all draining that is at the pump's level, and greatest power of the rest over it: it works against whatever head there is;
/// guess.
pub(crate) const DRAIN_USUAL: f64 = 0.9;
pub(crate) const DRAIN_RANGE: f64 = 2.0;

/// Probability that an open valve is not heard, that a drain pump moves no water, and that a wash pump is not heard; guess.
pub(crate) const UNHEARD: (f64, f64, f64) = (0.02, 0.1, 0.1);

/// Probability that what is heard in the supply, in the hose, and of the pump is that load: the rest is something else; guess.
pub(crate) const HEARD: (f64, f64, f64) = (0.98, 0.98, 0.9);

/// How steeply the probability of flow rises with the logarithm of its level over the threshold: 0.95 at 1.65 times. Guess.
pub(crate) const HEARD_STEEPNESS: f64 = 6.0;

/// Least level of a pickup, in counts: less is silence; guess.
pub(crate) const SILENCE: f64 = 0.05;

// Runs of a programme.

/// Longest drying before a last drain. Common practice, no source.
pub(crate) const LAST_DRAIN_WITHIN: Seconds = Seconds(2_700.0);

/// Shortest washing or filling that makes a run; a pump that stirs while it drains washes for less. Guess.
pub(crate) const RUN_LASTS: Seconds = Seconds(60.0);

/// Shortest drain of a run that filled and gave up; guess.
pub(crate) const GIVES_UP_DRAINS: Seconds = Seconds(10.0);

/// Longest part of a purge: each is 5 s, and twice that is still one. Common practice, no source.
pub(crate) const PURGE_PART: Seconds = Seconds(10.0);

// Refinement: overlay.

/// Cost of a small load that goes on or off beside what goes on, as a log-probability; guess.
pub(crate) const OVERLAY_TOGGLE: f64 = 9.0;

/// The same in washing, where a dispenser belongs; guess.
pub(crate) const OVERLAY_TOGGLE_IN_WASH: f64 = 8.0;

/// Median of what fills or drains of a run draw above their level, in watts, from which on something may stay on; guess.
pub(crate) const OVERLAY_RAISED: f64 = 3.0;

/// Fewest segments that say so; guess.
pub(crate) const OVERLAY_SEGMENTS: usize = 4;

/// Shortest segment that counts; guess.
pub(crate) const OVERLAY_LASTS: Seconds = Seconds(8.0);

/// Level of the supply pickup over its threshold from which on water is plainly heard; guess.
pub(crate) const PLAINLY_HEARD: f64 = 2.0;

// Refinement: onset.

/// Time on either side of a step over which power is compared; guess.
pub(crate) const ONSET_WINDOW: Seconds = Seconds(12.0);

/// Longest rest within one run in which it may have begun; guess.
pub(crate) const ONSET_REST: Seconds = Seconds(60.0);

/// Spans that are looked through before the first in which it shows; guess.
pub(crate) const ONSET_SPANS: usize = 40;

/// Smallest extra power that stands out from the wash pump's fluctuation; guess.
pub(crate) const ONSET_STANDS_OUT: Watts = Watts(2.0);

/// Time after which a pump that starts has settled; guess.
pub(crate) const ONSET_SETTLES: Seconds = Seconds(3.0);

// Refinement: purge.

/// How many seconds each half of a purge lasts. Common practice, no source.
pub(crate) const PURGE_HALF: Range<usize> = 3..9;

/// Height of its first step over drain pump and valve together, and of what is left of it over the valve; guess.
pub(crate) const PURGE_BOTH: Range<f64> = 0.7..1.4;
pub(crate) const PURGE_VALVE: Range<f64> = 0.4..1.9;

/// Smallest step that stands out, as a part of the wash pump's power; guess.
pub(crate) const PURGE_STANDS_OUT: f64 = 0.12;

/// Steady seconds on either side.
pub(crate) const PURGE_MARGIN: usize = 4;

/// Greatest departure from the pump's power there, as a part of the valve's, and the least part of the whole step that the valve's is
/// taken for; guess.
pub(crate) const PURGE_STEADY: (f64, f64) = (0.3, 0.2);

/// Greatest certainty of a purge that was not heard; guess.
pub(crate) const PURGE_CERTAINTY: f64 = 0.9;

// Refinement: dispenser.

/// Least and greatest power that a wax motor or solenoid adds to the pump's, in watts. Common practice, no source.
pub(crate) const DISPENSER_ADDS: (f64, f64) = (2.5, 17.0);

/// Smallest step that stands out from the wash pump's fluctuation, as a part of its power; guess.
pub(crate) const DISPENSER_STANDS_OUT: f64 = 0.02;

/// Shortest and longest time for which it is on, in seconds. Common practice, no source.
pub(crate) const DISPENSER_LASTS: (f64, f64) = (8.0, 70.0);

/// Seconds before and after it in which the pump's power is its own; guess.
pub(crate) const DISPENSER_MARGIN: usize = 4;

/// Part of the step that may be left there; guess.
pub(crate) const DISPENSER_LEFT: f64 = 0.4;

/// Greatest fluctuation while it lasts, as a part of the step, and the least step that is taken for that, in watts; guess.
pub(crate) const DISPENSER_FLAT: (f64, f64) = (0.3, 3.0);

/// Longest time between its end and heat that is still the dispenser: the last second before heat is averaged over the change.
pub(crate) const DISPENSER_TO_HEAT: Seconds = Seconds(1.5);

/// Longest washing that is looked at second by second: nothing washes for a day, and a CSV with a year in it would take all memory.
pub(crate) const LONGEST_WASH: Seconds = Seconds(86_400.0);

/// Distance of a change from the second in which it shows, at most.
pub(crate) const EDGE_WITHIN: Seconds = Seconds(1.5);

/// Part of the least step above which a reading is on its upper side; guess.
pub(crate) const EDGE_AT: f64 = 0.7;

// Refinement: what is short.

/// Shortest part of heat of a heater. Common practice, no source.
pub(crate) const PART_HEAT_LASTS: Seconds = Seconds(30.0);

/// Most readings of a change, and their certainty, below which they belong to what comes after; guess.
pub(crate) const IN_CHANGE: (f64, f64) = (2.5, 0.99);

/// The same within something, to which they then belong; guess.
pub(crate) const STRAY: (f64, f64) = (1.5, 0.9);

/// Longest time between two pulses of one drain; guess.
pub(crate) const DRAIN_RESTS: Seconds = Seconds(10.0);

/// Least certainty of a drain whose pulses agree; guess.
pub(crate) const DRAIN_CERTAINTY: f64 = 0.8;

// Refinement: order.

/// Shortest span that is named by its place; guess.
pub(crate) const ORDER_LASTS: Seconds = Seconds(25.0);

/// Longest time from a fill to a wash or a drain: a control may wait, and a pump that is seized tries again. Guess.
pub(crate) const FILL_LEADS_WITHIN: Seconds = Seconds(480.0);

/// Greatest certainty of a fill that leads straight to a wash or a drain; guess.
pub(crate) const LEADS_STRAIGHT: f64 = 0.7;

/// Greatest certainty that what leads to no water is no fill: below the 0.6 from which on something is told. Guess.
pub(crate) const LEADS_NOWHERE: f64 = 0.55;

/// Greatest certainty of what is named by its place in the run alone: likewise. Guess.
pub(crate) const BY_PLACE: f64 = 0.5;

// Refinement: unseen runs.

/// Shortest fill: less is a tap in the kitchen. Common practice, no source.
pub(crate) const UNSEEN_FILL_LASTS: Seconds = Seconds(15.0);

/// Longest time between two fills of one run. Common practice, no source.
pub(crate) const UNSEEN_FILLS_WITHIN: Seconds = Seconds(2_700.0);

/// Fewest fills of a run; guess.
pub(crate) const UNSEEN_FILLS: usize = 3;

/// Longest time after the last fill in which what is left of a heater in the clamp is spurious; guess.
pub(crate) const SPURIOUS_WITHIN: Seconds = Seconds(2_700.0);

/// Power above standby up to which nothing but the control runs, in watts; guess.
pub(crate) const NOTHING_DRAWN: f64 = 2.0;

/// Least part of a fill whose power must be known; guess.
pub(crate) const FILL_KNOWN: f64 = 0.9;
