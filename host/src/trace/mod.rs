//! The trace: what the log says as a time series. Gaps stay gaps.

mod steps;

use jiff::tz::{Offset, TimeZone};
use jiff::{SignedDuration, Timestamp, civil};
use tubtrace_units::{Amps, Celsius, Seconds, Volts, Watts};

pub use steps::{Iter, Steps};

/// Readings that hold from `start` to `end`. Steps are in order and do not overlap; where one ends before the next
/// starts, nothing is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// From the first sample of the log.
    pub start: Seconds,
    /// Likewise.
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
    /// Likewise.
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
    /// Likewise.
    pub end: Seconds,
    /// Mean level of the supply pickup.
    pub level: Noise,
}

/// The wall clock of a log, and how far it is to be trusted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clock {
    /// Time of the first sample.
    pub start: Timestamp,
    /// What is known of local time there.
    pub zone: Zone,
}

/// What a log says of local time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zone {
    /// Nothing: times of day are taken as they stand.
    Unsaid,
    /// Times are UTC, and local time is not known (the Z of RFC 9557).
    Utc,
    /// Local time minus UTC.
    At(Offset),
}

impl Zone {
    /// Local time minus UTC, as far as times are shown.
    #[must_use]
    pub const fn offset(self) -> Offset {
        match self {
            Self::Unsaid | Self::Utc => Offset::UTC,
            Self::At(offset) => offset,
        }
    }
}

impl Clock {
    /// The moment so long after the first sample, unless it is beyond any calendar.
    #[must_use]
    pub fn at(&self, into: Seconds) -> Option<Timestamp> {
        let into = SignedDuration::from_millis((into.0 * 1_000.0).round() as i64);
        self.start.checked_add(into).ok()
    }

    /// Likewise, in local time.
    #[must_use]
    pub fn local(&self, into: Seconds) -> Option<civil::DateTime> {
        Some(self.zone.offset().to_datetime(self.at(into)?))
    }

    /// Shows what is told in UTC in the local time of `zone`, with the offset that it has at the first sample.
    pub fn show_in(&mut self, zone: &TimeZone) {
        if self.zone == Zone::Utc {
            self.zone = Zone::At(zone.to_offset(self.start));
        }
    }
}

/// The logger about itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Health {
    /// From the first sample of the log.
    pub at: Seconds,
    /// Its battery.
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

/// The nominal volts that turn current into power, or power into current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nominal {
    /// How many.
    pub volts: Volts,
    /// Whether they were inferred from the mains frequency or assumed, rather than given.
    pub assumed: bool,
}

/// What the meter measures; the other follows at nominal volts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meter {
    /// Current: a clamp.
    Current,
    /// Power.
    Power,
}

/// A log as a time series.
#[derive(Clone, Debug)]
pub struct Trace {
    /// Readings of current or power.
    pub steps: Steps,
    /// Readings of the clips; empty without them.
    pub temperatures: Vec<Temperature>,
    /// Fills that the logger heard.
    pub fills: Vec<HeardFill>,
    /// When the current was at the end of the clamp's range, from and to.
    pub clipped: Vec<(Seconds, Seconds)>,
    /// Where readings stood that could not be used, from and to: what held there is not known, though a reading before it may be
    /// taken to go on. The first may begin before the first sample.
    pub lost: Vec<(Seconds, Seconds)>,
    /// Gaps that damage of the log has made, from and to: no sign that the machine or its mains stopped.
    pub damaged: Vec<(Seconds, Seconds)>,
    /// Presses of the button.
    pub marks: Vec<Seconds>,
    /// How the logger was; empty for other meters.
    pub health: Vec<Health>,
    /// What the current looked like around sudden changes; likewise.
    pub bursts: Vec<Burst>,
    /// When, if the log says.
    pub clock: Option<Clock>,
    /// What was measured.
    pub meter: Meter,
    /// What turns amperes into watts.
    pub nominal: Nominal,
    /// What the technician called it.
    pub label: String,
    /// Time between two readings, typically: no edge is known better.
    pub resolution: Seconds,
    /// Whether the logger stopped because its battery was empty.
    pub battery_ended: bool,
}

impl Trace {
    /// From the first sample to the last.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.steps.last().map_or(Seconds(0.0), |s| s.end)
    }

    /// Whether flow is heard.
    #[must_use]
    pub fn has_pickups(&self) -> bool {
        self.steps.first().is_some_and(|s| s.detail.is_some())
    }

    /// For how long the current was at the end of the clamp's range in `start..end`.
    #[must_use]
    pub fn clipped_within(&self, start: Seconds, end: Seconds) -> Seconds {
        let within = |(from, to): &(Seconds, Seconds)| (to.min(end) - from.max(start)).max(Seconds(0.0));
        self.clipped.iter().map(within).sum()
    }

    /// The steps that touch `start..end`, cut to it.
    pub fn between(&self, start: Seconds, end: Seconds) -> impl Iterator<Item = Step> + '_ {
        self.steps.between(start, end)
    }

    /// Where nothing is known: from the end of a step to the start of the next. Less than half a tick is rounding.
    pub fn gaps(&self) -> impl Iterator<Item = (Seconds, Seconds)> + '_ {
        let apart = |[a, b]: &[Step; 2]| b.start.0 - a.end.0 > 0.05;
        self.steps.pairs().filter(apart).map(|[a, b]| (a.end, b.start))
    }

    /// Current for a power of this trace.
    #[must_use]
    pub fn amps(&self, power: Watts) -> Amps {
        power.over(self.nominal.volts)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 9557, 2: Z says that the time is UTC and that local time is not known; +00:00, that local time is UTC.
    #[test]
    fn only_what_is_told_in_utc_is_shown_in_local_time() {
        let start = Timestamp::from_second(1_772_827_200).unwrap();
        let here = TimeZone::fixed(jiff::tz::offset(-5));
        let shown = |zone| {
            let mut clock = Clock { start, zone };
            clock.show_in(&here);
            clock.local(Seconds(90.0)).unwrap().to_string()
        };
        assert_eq!(shown(Zone::Utc), "2026-03-06T15:01:30");
        assert_eq!(shown(Zone::At(Offset::UTC)), "2026-03-06T20:01:30");
        assert_eq!(shown(Zone::Unsaid), "2026-03-06T20:01:30");
    }
}
