//! How probable each state is in a stretch of time, and how what the model does not know moves that.

use super::state::State;

/// The probability of each state; all of them together have one.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Posterior([f64; State::COUNT]);

impl Posterior {
    /// Sure of one state.
    #[must_use]
    pub const fn sure(state: State) -> Self {
        let mut of = [0.0; State::COUNT];
        of[state as usize] = 1.0;
        Self(of)
    }

    /// Of these states, each with its probability or with something in proportion to it; what is given twice counts twice.
    #[must_use]
    pub fn new(of: impl IntoIterator<Item = (State, f64)>) -> Self {
        let mut posterior = Self::default();
        of.into_iter().for_each(|(state, probability)| posterior.0[state as usize] += probability);
        let all: f64 = posterior.0.iter().sum();
        if all > 0.0 {
            posterior.0.iter_mut().for_each(|p| *p /= all);
        }
        posterior
    }

    /// The probability of a state.
    #[must_use]
    pub const fn of(&self, state: State) -> f64 {
        self.0[state as usize]
    }

    /// The probability of all states together of which this holds.
    #[must_use]
    pub fn any(&self, holds: impl Fn(State) -> bool) -> f64 {
        let all = State::ALL.iter().filter(|s| holds(**s)).map(|s| self.of(*s));
        // Sums may pass one by a rounding.
        all.sum::<f64>().min(1.0)
    }

    /// The same where what was taken for one state is another one, with this probability.
    #[must_use]
    pub fn taken(mut self, from: State, to: State, probability: f64) -> Self {
        let moved = self.of(from) * probability;
        self.0[from as usize] -= moved;
        self.0[to as usize] += moved;
        self
    }

    /// The same where something else speaks for a state: so many times as probable where it is that state as where it is any other.
    #[must_use]
    pub fn weighed(mut self, state: State, odds: f64) -> Self {
        self.0[state as usize] *= odds;
        Self::new(State::ALL.into_iter().zip(self.0))
    }

    /// The average over two stretches of these durations.
    #[must_use]
    pub fn and(&self, other: &Self, (own, of_other): (f64, f64)) -> Self {
        let all = (own + of_other).max(1e-9);
        Self(std::array::from_fn(|n| (self.0[n] * own + other.0[n] * of_other) / all))
    }
}

#[cfg(test)]
mod tests {
    use tubtrace_units::Load;

    use super::*;

    #[test]
    fn a_load_is_as_probable_as_all_states_together_in_which_it_runs() {
        let torn = Posterior::new([(State::Wash, 2.0), (State::Heat, 1.0), (State::Drain, 1.0)]);
        assert_eq!((torn.of(State::Wash), torn.of(State::Fill)), (0.5, 0.0));
        assert_eq!(torn.any(|s| s.loads().has(Load::WashPump)), 0.75);
    }

    #[test]
    fn what_is_taken_for_another_state_is_moved_and_nothing_is_lost() {
        let moved =
            Posterior::new([(State::Small, 0.8), (State::Off, 0.2)]).taken(State::Small, State::Fill, 0.5);
        assert_eq!((moved.of(State::Fill), moved.of(State::Small), moved.of(State::Off)), (0.4, 0.4, 0.2));
    }

    /// By hand: 0.2 to 0.8 are odds of 1 to 4, twelve times as much is 3 to 1.
    #[test]
    fn odds_multiply_those_of_a_state() {
        let weighed = Posterior::new([(State::Wash, 0.2), (State::Drain, 0.8)]).weighed(State::Wash, 12.0);
        assert!((weighed.of(State::Wash) - 0.75).abs() < 1e-12, "{weighed:?}");
    }

    #[test]
    fn two_stretches_count_by_how_long_they_last() {
        let both = Posterior::sure(State::Wash).and(&Posterior::sure(State::Drain), (30.0, 10.0));
        assert_eq!((both.of(State::Wash), both.of(State::Drain)), (0.75, 0.25));
    }
}
