//! How grave a finding is: by what comes of it and, where it only makes the wash worse, by how far it is beyond its limit.

use std::fmt;

use serde::Serialize;

use super::constants::{GRAVE_FROM, PLAIN_BEYOND};
use super::finding::Finding;
use crate::checks::Harm;

/// How grave it is, from least to most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, clap::ValueEnum)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// A little beyond its limit, or something that wears.
    Slight,
    /// The dishes come out less clean, or it takes longer; or the logger does not see.
    Plain,
    /// The programme does not do its work.
    Grave,
    /// It can scald, flood or burn.
    Dangerous,
}

impl Finding {
    /// How grave it is.
    #[must_use]
    pub fn severity(&self) -> Severity {
        match self.departure.harm {
            Harm::People => Severity::Dangerous,
            Harm::Stops => Severity::Grave,
            Harm::Logger => Severity::Plain,
            Harm::Little => Severity::Slight,
            Harm::Wash => self.beyond().map_or(Severity::Plain, |beyond| match beyond {
                b if b < PLAIN_BEYOND.get() => Severity::Slight,
                b if b < GRAVE_FROM.get() => Severity::Plain,
                _ => Severity::Grave,
            }),
        }
    }

    /// How far it is beyond the limit that it passes, as a part of that limit; none where there is no limit to divide by.
    fn beyond(&self) -> Option<f64> {
        let measured = self.measured.number();
        let (low, high) = (self.expected.0.map(|q| q.number()), self.expected.1.map(|q| q.number()));
        let limit = high.filter(|high| measured > *high).or_else(|| low.filter(|low| measured < *low))?;
        (limit > 0.0).then(|| (measured - limit).abs() / limit)
    }
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Slight => "slight",
            Self::Plain => "plain",
            Self::Grave => "grave",
            Self::Dangerous => "dangerous",
        })
    }
}

#[cfg(test)]
mod tests {
    use tubtrace_units::Seconds;

    use super::*;
    use crate::checks::all;
    use crate::intervals::Kind;
    use crate::quantity::Quantity;

    fn severity(id: &str, measured: f64, expected: (Option<f64>, Option<f64>)) -> Severity {
        let time = |s: f64| Quantity::Time(Seconds(s));
        let departure = all().find(|c| c.id == id).unwrap();
        let finding = Finding {
            measured: time(measured),
            expected: (expected.0.map(time), expected.1.map(time)),
            ..Finding::invented(departure, Kind::Fill, Seconds(0.0))
        };
        finding.severity()
    }

    #[test]
    fn a_second_beyond_a_limit_of_fifty_and_a_dead_heater_are_not_one_word() {
        assert_eq!(severity("too-long", 51.0, (Some(40.0), Some(50.0))), Severity::Slight);
        assert_eq!(severity("too-long", 65.0, (Some(40.0), Some(50.0))), Severity::Plain);
        assert_eq!(severity("too-long", 120.0, (Some(40.0), Some(50.0))), Severity::Grave);
        assert_eq!(severity("too-short", 39.0, (Some(40.0), Some(50.0))), Severity::Slight);
        assert_eq!(severity("no-heat", 0.0, (Some(600.0), None)), Severity::Grave);
        assert_eq!(severity("heat-at-end", 900.0, (None, Some(0.0))), Severity::Dangerous);
        assert!(Severity::Slight < Severity::Plain && Severity::Grave < Severity::Dangerous);
    }
}
