//! What is outside of its limits.

use tubtrace_units::Seconds;

use super::constants::SURE;
use super::context::Context;
use super::uncertainty::{Band, decide};
use crate::alignment::Place;
use crate::chart::Limits;
use crate::intervals::Kind;
use crate::quantity::Quantity;

/// A measurement outside of its limits.
#[derive(Clone, Debug)]
pub struct Outside {
    /// The interval of the chart or, for what is in none, of the machine.
    pub interval: String,
    /// What the machine does, or should do, in it.
    pub does: Kind,
    /// Where in the chart it is, if it is of one of its intervals; of the first, where it is a whole part.
    pub(super) place: Option<Place>,
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
    /// Whether it is outside by more than its uncertainty.
    pub(super) band: Band,
}

impl Outside {
    /// In this interval or thing, while the machine does this. Within its uncertainty of a limit it cannot be told.
    pub(super) fn new(
        (interval, does): (&str, Kind),
        start: Seconds,
        measured: Quantity,
        expected: (Option<Quantity>, Option<Quantity>),
        uncertainty: Quantity,
    ) -> Self {
        let limits = (expected.0.map(Quantity::number), expected.1.map(Quantity::number));
        let decided = decide(measured.number(), limits, uncertainty.number());
        Self {
            interval: interval.to_owned(),
            does,
            place: None,
            start,
            measured,
            expected,
            uncertainty,
            certainty: SURE.get(),
            // What a check has other grounds for than these numbers is no matter of a guard band.
            band: decided.band().unwrap_or(Band::Beyond),
        }
    }

    /// The same, found in something with this name, while the machine does this.
    pub(super) fn of(self, interval: impl Into<String>, does: Kind) -> Self {
        Self { interval: interval.into(), does, ..self }
    }

    /// In this interval of the chart.
    pub(super) fn at(self, context: &Context, place: Place) -> Self {
        let placed = Self { place: Some(place), ..self };
        placed.of(context.name(place), context.expected(place).kind)
    }

    /// The same, with this probability that the loads are what they are taken for.
    pub(super) fn sure(self, certainty: f64) -> Self {
        Self { certainty, ..self }
    }

    /// The same, so far outside of its limits.
    pub(super) fn band(self, band: Band) -> Self {
        Self { band, ..self }
    }
}

/// Both limits as quantities.
pub(super) fn both<T: Copy>(
    limits: Limits<T>,
    quantity: fn(T) -> Quantity,
) -> (Option<Quantity>, Option<Quantity>) {
    (Some(quantity(limits.low)), Some(quantity(limits.high)))
}
