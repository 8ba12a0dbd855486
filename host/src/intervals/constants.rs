//! Numbers of the measurement of intervals. Where a number has no source it says so: "common practice" is what appliances of this
//! kind do, "guess" is what works on simulated and real logs and was not derived from anything.

use tubtrace_units::{Celsius, Seconds};

/// Shortest idle time from which the level of the supply pickup is taken, in seconds; guess.
pub(crate) const IDLE_NOISE_FROM: f64 = 60.0;

/// Distance of damage from a run within which the run may have gone on in it, in seconds: half a tick of the log.
pub(crate) const DAMAGE_BESIDE: f64 = 0.05;

/// Part of the time of an interval below whose level its loudest is taken: water leaves in the first seconds of a drain, and the pump goes
/// on. Guess.
pub(crate) const LOUDEST: f64 = 0.95;

/// Power above standby that is more than the converter's noise, in watts; guess.
pub(crate) const FAINT: f64 = 1.0;

/// Time for which it is drawn in a run that is seen faintly; guess.
pub(crate) const FAINT_FOR: Seconds = Seconds(60.0);

/// Certainty of an interval of a run that was only heard; guess.
pub(crate) const UNSEEN_CERTAINTY: f64 = 0.5;

/// Time beyond either end of a run whose readings are looked at: what a hose does after the last drain. Guess.
pub(crate) const BEYOND: Seconds = Seconds(10.0);

/// Part of a run that may be lost: more may hide a whole interval, for the shortest that a chart times, a drain or a fill, lasts about a
/// minute of some hundred. Common practice, no source.
pub(crate) const MAY_BE_LOST: f64 = 0.01;

/// Standard deviation of a clip and its pair of converter channels, degrees C: thermistor 0.2, fixed resistor 0.1 %, and water that is not
/// quite mixed. Common practice, no source.
pub(crate) const CLIP_SPREAD: f64 = 0.35;

/// Part of the lag's correction that is doubted: clip and pipe are two lags, of which the fit makes one. Guess.
pub(crate) const CORRECTION_DOUBT: f64 = 0.15;

/// Fewest readings from which a lag is fitted; guess.
pub(crate) const LAG_READINGS: usize = 8;

/// Part at the beginning of an interval that is left out of the fit: the pipe is flushed in it. Guess.
pub(crate) const PIPE_FLUSHED: f64 = 0.2;

/// Shortest and longest lag that is tried, in seconds. Common practice, no source.
pub(crate) const LAGS: (u32, u32) = (4, 60);

/// Greatest correction over how far the clip moved while it was looked at; guess.
pub(crate) const CORRECTION_AT_MOST: f64 = 2.0;

/// Smallest rise of the water from which heat tells its volume; guess.
pub(crate) const LEAST_RISE: Celsius = Celsius(15.0);

/// Standard deviation of the heater's power as a part of it: mains within 5 % of nominal (one standard deviation 2.5 %) makes twice that
/// of power.
pub(crate) const POWER_SPREAD: f64 = 0.05;
