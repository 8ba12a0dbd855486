//! A finding: one departure from the chart.

use tubtrace_units::Seconds;

use super::causes::{Advice, Causes};
use crate::checks::{Check, Found, Outside};
use crate::intervals::Kind;
use crate::quantity::Quantity;

/// One departure from the chart.
#[derive(Clone, Debug)]
pub struct Finding {
    /// The check that found it.
    pub departure: &'static Check,
    /// The interval of the chart or, for what is in none, of the machine.
    pub interval: String,
    /// What the machine does, or should do, in it.
    pub does: Kind,
    /// When it begins, from the first sample of the log.
    pub start: Seconds,
    /// The value that was measured.
    pub measured: Quantity,
    /// The least and the most that is expected; `None` is open.
    pub expected: (Option<Quantity>, Option<Quantity>),
    /// Expanded uncertainty (k = 2) of the measurement.
    pub uncertainty: Quantity,
    /// Probability that it is one, as far as the loads are known.
    pub certainty: f64,
    /// Whether it can be told: it is outside by more than its uncertainty, and the loads are known well enough.
    pub decided: bool,
    /// The check that found what this follows from, earlier in the cycle: it is told under that.
    pub follows: Option<&'static Check>,
    /// What may be behind it, and what to do next.
    pub advice: Advice,
}

impl Finding {
    /// Its kind in the words of the causes' file: what was found, and what the machine does or should do meanwhile.
    #[must_use]
    pub fn kind(&self) -> String {
        format!("{} {}", self.departure, self.does)
    }

    /// One that no run has, for tests.
    #[cfg(test)]
    pub(crate) fn invented(departure: &'static Check, does: Kind, start: Seconds) -> Self {
        Self {
            departure,
            interval: does.to_string(),
            does,
            start,
            measured: Quantity::Time(Seconds(0.0)),
            expected: (None, None),
            uncertainty: Quantity::Time(Seconds(0.0)),
            certainty: 1.0,
            decided: true,
            follows: None,
            advice: Advice::default(),
        }
    }

    /// Of what is outside, with what may be behind it if anybody knows.
    pub(super) fn of(Found { check, outside, follows, .. }: Found, causes: Option<&Causes>) -> Self {
        let decided = outside.is_decided();
        let Outside { interval, does, start, measured, expected, uncertainty, certainty, .. } = outside;
        let advice = causes.map(|causes| causes.advise(check, does)).unwrap_or_default();
        Self {
            departure: check,
            interval,
            does,
            start,
            measured,
            expected,
            uncertainty,
            certainty,
            decided,
            follows,
            advice,
        }
    }
}
