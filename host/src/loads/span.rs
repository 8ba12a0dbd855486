//! A stretch of one joint state of the loads.

use tubtrace_units::{Load, Loads, Seconds};

use super::constants::runs::ROUNDING;
use super::posterior::Posterior;
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
    /// The probability of each state, averaged over the stretch.
    pub states: Posterior,
    /// The probability that the overlay runs, or that none does, in that state.
    pub beside: f64,
}

impl Span {
    /// All loads that run, the overlay among them.
    #[must_use]
    pub fn loads(&self) -> Loads {
        self.overlay.map_or(self.state.loads(), |load| self.state.loads().with(load, true))
    }

    /// The probability that its state and its overlay are these.
    #[must_use]
    pub fn certainty(&self) -> f64 {
        self.states.of(self.state) * self.beside
    }

    /// The same in another state, that its own was taken for.
    #[must_use]
    pub(super) fn is_really(self, state: State) -> Self {
        Self { state, states: self.states.taken(self.state, state, 1.0), ..self }
    }

    /// The same in another state that what surrounds it speaks for, at these odds against `instead`. What it was taken for counts no more: what the
    /// states draw does not tell them apart, or their place would not have been asked.
    #[must_use]
    pub(super) fn named(self, state: State, instead: State, odds: f64) -> Self {
        let own = if self.state == state { instead } else { self.state };
        let all = self.states.taken(own, state, 1.0).taken(instead, state, 1.0);
        Self { state, states: all.taken(state, instead, 1.0 / (1.0 + odds)), ..self }
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
        self.states = self.states.and(&next.states, (before, now));
        self.beside = (self.beside * before + next.beside * now) / (before + now).max(1e-9);
        self.end = next.end;
    }
}
