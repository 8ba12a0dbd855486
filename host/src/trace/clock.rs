//! The wall clock of a log, as far as the log says.

use jiff::tz::{Offset, TimeZone};
use jiff::{SignedDuration, Timestamp, civil};
use tubtrace_units::Seconds;

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
