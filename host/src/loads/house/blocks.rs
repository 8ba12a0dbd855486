//! Blocks: stretches in which something runs, between nothing and nothing.

use tubtrace_units::{Seconds, Watts};

use super::Stretch;
use crate::loads::constants::house::{ONE_LEVEL, STARTS_WITHIN};
use crate::loads::constants::learning::{HEATER_AT_LEAST, HEATER_LASTS};
use crate::loads::constants::order::DRAINS_WITHIN;
use crate::loads::constants::runs::{IDLE_BELOW, RUNS_APART_LEAST};
use crate::loads::segment::Segment;
use crate::stats::weighted_median;

/// A stretch in which something runs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Block {
    pub(super) start: Seconds,
    pub(super) end: Seconds,
    /// What it draws, if that is one level throughout and the log has all of it.
    pub(super) level: Option<Watts>,
    /// Whether a heater is on in it.
    pub(super) heats: bool,
    /// Whether the log, or a hole in it, cuts how it began, and how it ended.
    pub(super) cut: [bool; 2],
}

impl Block {
    pub(super) fn lasts(&self) -> Seconds {
        self.end - self.start
    }

    pub(super) fn stretch(&self) -> Stretch {
        (self.start, self.end)
    }

    /// Whether it is so long that no drain is.
    pub(super) fn is_long(&self) -> bool {
        self.lasts() >= DRAINS_WITHIN.get()
    }
}

/// All blocks of a log, in order of time. Less time without anything than between two runs of a machine parts none.
pub(super) fn blocks(segments: &[Segment], nothing: Watts, log_ends: Seconds) -> Vec<Block> {
    let mut ranges: Vec<(usize, usize)> = Vec::new();
    for (i, segment) in segments.iter().enumerate() {
        if segment.power.0 <= nothing.0 + IDLE_BELOW.get() {
            continue;
        }
        match ranges.last_mut() {
            Some((_, last)) if segment.start - segments[*last].end < RUNS_APART_LEAST.get() => *last = i,
            _ => ranges.push((i, i)),
        }
    }
    let block = |(first, last): (usize, usize)| {
        let own = &segments[first..=last];
        let (start, end) = (own[0].start, own[own.len() - 1].end);
        let apart = RUNS_APART_LEAST.get();
        let hole = |i: usize| segments.get(i).is_some_and(|s| s.after_gap);
        let cut = [start < apart || hole(first), end + apart > log_ends || hole(last + 1)];
        let torn = own[1..].iter().any(|s| s.after_gap);
        let level = (cut == [false; 2] && !torn).then(|| one_level(own, nothing)).flatten();
        let hot = own.iter().filter(|s| s.power.0 > HEATER_AT_LEAST.get()).map(|s| s.duration().0);
        Block { start, end, level, heats: hot.sum::<f64>() > HEATER_LASTS.get(), cut }
    };
    ranges.into_iter().map(block).collect()
}

/// The level of a block, over nothing, if it has only one, but for its start and for readings averaged over its end.
fn one_level(own: &[Segment], nothing: Watts) -> Option<Watts> {
    let (start, end) = (own[0].start + STARTS_WITHIN.get(), own[own.len() - 1].end);
    let counts = |s: &&Segment| {
        s.duration() > STARTS_WITHIN.get()
            || (s.start >= start && end - s.end > s.duration().min(Seconds(2.0)))
    };
    let over = |s: &Segment| s.power.0 - nothing.0;
    let level = weighted_median(own.iter().filter(counts).map(|s| (over(s), s.duration().0)))?;
    let near = |s: &Segment| over(s) < ONE_LEVEL.get() * level && over(s) * ONE_LEVEL.get() > level;
    let is_one = own.iter().filter(counts).all(near) && end - own[0].start >= RUNS_APART_LEAST.get();
    is_one.then_some(Watts(level))
}
