//! A stretch of one joint state of the loads.

use tubtrace_units::{Load, Loads, Seconds};

use super::constants::runs::ROUNDING;
use super::state::State;

/// A stretch in which one joint state holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// The loads that a control switches together.
    pub state: State,
    /// A small load that stays on whatever the state is.
    pub overlay: Option<Load>,
    /// When it starts, from the first sample of the log.
    pub start: Seconds,
    /// When it ends, from the first sample of the log.
    pub end: Seconds,
    /// Probability of the state between 0 and 1, averaged over the stretch; order and shape may lower it.
    pub certainty: f64,
    /// Probability that the element is on, whatever else runs, averaged likewise.
    pub heats: f64,
}

impl Span {
    /// All loads that run, the overlay among them.
    #[must_use]
    pub fn loads(&self) -> Loads {
        self.overlay.map_or(self.state.loads(), |load| self.state.loads().with(load, true))
    }

    /// Time from its start to its end.
    #[must_use]
    pub fn duration(&self) -> Seconds {
        self.end - self.start
    }

    /// Whether `next` begins where this ends: less than a hundredth of a second is rounding, not a gap.
    #[must_use]
    pub fn touches(&self, next: &Self) -> bool {
        next.start.0 - self.end.0 <= ROUNDING.get()
    }

    /// Extends this span to the end of `next`. Its probabilities become the average of both, weighted by their durations.
    pub(crate) fn extend_over(&mut self, next: &Self) {
        let (before, now) = (self.duration().0, next.duration().0);
        let average = |own: f64, of: f64| (own * before + of * now) / (before + now).max(1e-9);
        self.certainty = average(self.certainty, next.certainty);
        self.heats = average(self.heats, next.heats);
        self.end = next.end;
    }
}
