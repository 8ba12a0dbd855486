//! The Markov chain over the places of some states, in log-probabilities, and what it says of observations.

use strum::VariantArray;
use tubtrace_units::Seconds;

use super::constants::chain::{TICK, UNUSUAL};
use super::hmm::{Hmm, Steps};
use super::place::Place;
use super::segment::Segment;
use super::state::State;

/// A chain over the places in which certain states occur.
#[derive(Clone, Debug)]
pub(super) struct Chain {
    /// The places that it runs over, in the order of the indices below.
    pub(super) places: Vec<Place>,
    /// For each place, the index of its state among the states.
    pub(super) state_of: Vec<usize>,
    /// Log-probability of each place at the start.
    pub(super) initial: Vec<f64>,
    /// Log-probabilities from place to place.
    pub(super) steps: Steps,
}

impl Chain {
    /// The chain of `states`, for readings so far apart. A place is left with the rate of its dwell, for one of those that follow it, or, now and then, for
    /// any: all ways out of a place together have probability one.
    #[must_use]
    pub(super) fn of(states: &[State], resolution: Seconds) -> Self {
        let places: Vec<Place> =
            Place::VARIANTS.iter().copied().filter(|p| states.contains(&p.state())).collect();
        let state_of =
            places.iter().map(|p| states.iter().position(|s| *s == p.state()).unwrap_or(0)).collect();
        let all: f64 = places.iter().map(|p| p.initial()).sum();
        let initial = places.iter().map(|p| (p.initial() / all).ln()).collect();
        let tick = resolution.0.max(TICK.get());
        // Of the time of a change no more is known than the reading in which it is.
        let leaves = |p: &Place| (1.0 - (-tick / p.dwell().0).exp()).ln();
        let others = (places.len() - 1).max(1) as f64;
        let row = |p: &Place| -> (Vec<(usize, f64)>, f64) {
            let follow = |next: &Place| places.iter().position(|q| q == next);
            let known: Vec<(usize, f64)> = p
                .next()
                .each()
                .filter_map(|(q, w)| Some((follow(&q)?, w)))
                .filter(|(q, _)| places[*q] != *p)
                .collect();
            let sum: f64 = known.iter().map(|(_, w)| w).sum();
            let unusual = UNUSUAL.get() / others;
            let usual = (1.0 - UNUSUAL.get()) / sum.max(f64::MIN_POSITIVE);
            let step = |(q, w): &(usize, f64)| (*q, leaves(p) + (w * usual + unusual).ln());
            (known.iter().map(step).collect(), leaves(p) + unusual.ln())
        };
        let steps = Steps::new(places.iter().map(row).collect());
        Self { places, state_of, initial, steps }
    }

    /// For each segment and place its log-likelihood, where `of_states` has those in each state: with it goes the probability that the place is not left
    /// in the segment.
    pub(super) fn emissions(&self, segments: &[Segment], of_states: &[&[f32]]) -> Vec<f64> {
        let mut emissions = Vec::with_capacity(segments.len() * self.places.len());
        let rates: Vec<f64> = self.places.iter().map(|p| 1.0 / p.dwell().0).collect();
        for (i, segment) in segments.iter().enumerate() {
            let lasts = segment.duration().0;
            emissions.extend(
                self.state_of.iter().zip(&rates).map(|(&s, rate)| f64::from(of_states[s][i]) - lasts * rate),
            );
        }
        emissions
    }

    /// The model of these observations.
    pub(super) fn model<'a>(&'a self, emissions: &'a [f64]) -> Hmm<'a> {
        Hmm { initial: &self.initial, steps: &self.steps, emissions }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_ways_out_of_a_place_have_probability_one() {
        for states in [State::BY_POWER, State::BY_FLOW] {
            let chain = Chain::of(states, Seconds(1.0));
            for (from, place) in chain.places.iter().enumerate() {
                let out: f64 = (0..chain.places.len())
                    .filter(|to| *to != from)
                    .map(|to| chain.steps.log_probability(from, to).exp())
                    .sum();
                let leaves = 1.0 - (-1.0 / place.dwell().0).exp();
                assert!((out - leaves).abs() < 1e-9, "{place:?}: {out}, {leaves}");
            }
            let begins: f64 = chain.initial.iter().map(|i| i.exp()).sum();
            assert!((begins - 1.0).abs() < 1e-9, "{begins}");
        }
    }
}
