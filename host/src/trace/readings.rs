//! Readings: what was metered, heard and felt, and for how long it holds.

use tubtrace_units::{Amps, Celsius, Seconds, Volts, Watts};

/// Readings that hold from `start` to `end`. Steps are in order and do not overlap; where one ends before the next
/// starts, nothing is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// From the first sample of the log.
    pub start: Seconds,
    /// End of the time for which it holds, from the first sample of the log.
    pub end: Seconds,
    /// Power as the meter gives it or, from a clamp, apparent power at nominal volts.
    pub power: Watts,
    /// What only the logger gives.
    pub detail: Option<Detail>,
}

impl Step {
    /// How long it holds.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end - self.start
    }
}

/// What the logger gives beyond power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Detail {
    /// RMS current at the mains frequency.
    pub fundamental: Amps,
    /// RMS current at three times the mains frequency.
    pub third: Amps,
    /// Flow noise of the supply line.
    pub supply: Noise,
    /// Flow noise of the drain hose.
    pub drain: Noise,
}

/// Level of a pickup: RMS counts of the converter. Comparable within one log only.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Noise(pub f64);

/// A clip's temperatures that hold from `start` to `end`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Temperature {
    /// From the first sample of the log.
    pub start: Seconds,
    /// End of the time for which it holds, from the first sample of the log.
    pub end: Seconds,
    /// Clip on the supply line.
    pub supply: Option<Celsius>,
    /// Clip on the drain hose.
    pub drain: Option<Celsius>,
}

/// A fill as the logger heard it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeardFill {
    /// From the first sample of the log.
    pub start: Seconds,
    /// End of the time for which it holds, from the first sample of the log.
    pub end: Seconds,
    /// Mean level of the supply pickup.
    pub level: Noise,
}

/// The logger about itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Health {
    /// From the first sample of the log.
    pub at: Seconds,
    /// Voltage of its battery.
    pub battery: Volts,
    /// Samples at either end of the converter's range since the reading before.
    pub clipped: u16,
}

/// Raw samples of the current around a sudden change, without a gap.
#[derive(Clone, Debug, PartialEq)]
pub struct Burst {
    /// From the first sample of the log.
    pub start: Seconds,
    /// Counts of the 12-bit converter, its middle at zero; 4,800 of them are a second.
    pub samples: Vec<i16>,
}
