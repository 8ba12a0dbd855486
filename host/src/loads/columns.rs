//! Log-likelihoods of all segments in one state, kept: many hypotheses share the level that a state depends on.

use std::collections::HashMap;
use std::rc::Rc;

use super::emission::{self, Heard};
use super::segment::Segment;
use super::signatures::{Flow, Signatures};
use super::state::State;

/// What a state's column depends on: the state, and the bits of the levels that it draws.
type Key = (State, [u64; 8]);

/// So many numbers are kept at most: less than half a megabyte. A night has a few hundred segments.
const MOST_KEPT: usize = 100_000;

/// Columns that were made so far.
pub(super) struct Columns<'a> {
    segments: &'a [Segment],
    made: HashMap<Key, Rc<[f32]>>,
    /// What the pickups say of each segment, under the thresholds that were asked for last: nearly all hypotheses share them.
    heard: (Option<Flow>, Vec<Option<Heard>>),
}

impl<'a> Columns<'a> {
    pub(super) fn new(segments: &'a [Segment]) -> Self {
        Self { segments, made: HashMap::new(), heard: (None, Vec::new()) }
    }

    /// The column of each of these states under these signatures.
    pub(super) fn of(&mut self, signatures: &Signatures, states: &[State]) -> Vec<Rc<[f32]>> {
        states.iter().map(|&state| self.column(signatures, state)).collect()
    }

    /// Forgets them where they take too much room: a long log has many segments.
    pub(super) fn spare(&mut self) {
        if self.made.len() * self.segments.len() > MOST_KEPT {
            self.made.clear();
        }
    }

    fn column(&mut self, signatures: &Signatures, state: State) -> Rc<[f32]> {
        let (segments, heard) = (self.segments, &mut self.heard);
        let make = || {
            if heard.0 != signatures.flow {
                let all = segments.iter().map(|o| Heard::of(signatures, o));
                *heard =
                    (signatures.flow, if signatures.flow.is_some() { all.collect() } else { Vec::new() });
            }
            let fit = |(n, o): (usize, &Segment)| {
                let heard = heard.1.get(n).and_then(Option::as_ref);
                emission::log_likelihood(signatures, o, heard, state) as f32
            };
            segments.iter().enumerate().map(fit).collect()
        };
        Rc::clone(self.made.entry(key(signatures, state)).or_insert_with(make))
    }
}

fn key(signatures: &Signatures, state: State) -> Key {
    use State::{Drain, DrainAndFill, Fill, Off, Purge, Small, TopUp, WashAndDrain};
    let if_in = |states: &[State], level: f64| if states.contains(&state) { level.to_bits() } else { 0 };
    let washes = !matches!(state, Off | Small | Fill | Drain | DrainAndFill);
    let wash = |level: f64| if washes { level.to_bits() } else { 0 };
    let (slow, fast) = signatures.speeds.map_or((0.0, 0.0), |(slow, fast)| (slow.0, fast.0));
    let small = signatures.small.map_or((0.0, 0.0), |s| (s.level.0, s.spread.0));
    (
        state,
        [
            if_in(&[Small], small.0).rotate_left(1) ^ if_in(&[Small], small.1),
            if_in(&[Fill, Purge, TopUp, DrainAndFill], signatures.fill.0),
            if_in(&[Drain, Purge, WashAndDrain, DrainAndFill], signatures.drain.0),
            wash(signatures.wash.0),
            wash(slow).rotate_left(1) ^ wash(fast),
            signatures.heater.map_or(0, |h| h.level.0.to_bits().rotate_left(1) ^ h.dry.0.to_bits()),
            signatures.heater.map_or(0, |h| h.threshold.0.to_bits()),
            signatures.flow.and_then(|f| f.pump).map_or(0, |p| p.0.to_bits()),
        ],
    )
}
