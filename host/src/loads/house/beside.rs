//! When a load of the house is on while the machine runs.

use std::f64::consts::TAU;

use tubtrace_units::{Seconds, Watts};

use super::Stretch;
use super::blocks::Block;
use super::lengths::Lengths;
use super::profile::Profile;
use crate::loads::constants::house::{BESIDE_SPREAD, ONE_LEVEL, STARTS_WITHIN, STEP_SPREAD, STEP_UNSEEN};
use crate::loads::constants::learning::HEATER_AT_LEAST;
use crate::loads::constants::runs::{RUNS_APART_LEAST, SEGMENT_POWER};
use crate::loads::segment::Segment;
use crate::stats::{median, normal_mad};

/// Where no step shows, a change is looked for so far apart.
const EVERY: Seconds = Seconds(60.0);

/// Shortest stretch that says what is drawn before a step, or behind it.
const STEADY: Seconds = Seconds(3.0);

/// A load of the house that is off or on, each for as long as it was seen to be.
pub(super) struct Chain {
    pub(super) level: Watts,
    nothing: Watts,
    rises: Step,
    falls: Step,
    on: Lengths,
    off: Lengths,
    own: Vec<Stretch>,
}

/// A step of the power.
struct Step {
    watts: f64,
    spread: f64,
}

impl Step {
    fn of(seen: &[f64], level: Watts) -> Self {
        let least = SEGMENT_POWER.get().max(STEP_SPREAD.get() * level.0);
        Self { watts: median(seen), spread: normal_mad(seen).max(least) }
    }

    /// Logarithm of the density of a step of so many watts beside what draws `beside`.
    fn ln(&self, watts: f64, beside: f64) -> f64 {
        let spread = self.spread.hypot(BESIDE_SPREAD.get() * beside);
        -0.5 * ((watts - self.watts) / spread).powi(2) - (spread * TAU.sqrt()).ln()
    }
}

/// A moment at which the load may come on or go off.
struct Moment {
    at: Seconds,
    /// Logarithm of how much more probable what is read there is, if it does.
    comes: Option<f64>,
    goes: Option<f64>,
    /// When, from there on, less is drawn than it does.
    low: Seconds,
}

/// The best way to a moment: its logarithm, and the moment before it.
#[derive(Clone, Copy)]
struct Way {
    ln: f64,
    from: Option<usize>,
}

impl Way {
    const NONE: Self = Self { ln: f64::NEG_INFINITY, from: None };

    fn or(&mut self, ln: f64, from: Option<usize>) {
        if ln > self.ln {
            *self = Self { ln, from };
        }
    }
}

impl Chain {
    /// As visits have it that nothing was beside.
    pub(super) fn of(own: &[Block], profiles: &[Profile], blocks: &[Block], nothing: Watts) -> Self {
        let levels: Vec<f64> = own.iter().filter_map(|v| v.level).map(|l| l.0).collect();
        let level = Watts(median(&levels));
        let step = |of: fn(&Profile) -> f64| Step::of(&profiles.iter().map(of).collect::<Vec<_>>(), level);
        let alone = |p: &&[Block]| !blocks.iter().any(|b| b.start > p[0].end && b.end < p[1].start);
        let rests = || own.windows(2).filter(alone).map(|p| p[1].start - p[0].end);
        let on = || own.iter().map(Block::lasts);
        Self {
            level,
            nothing,
            rises: step(Profile::rises),
            falls: step(Profile::falls),
            on: Lengths::of(on()),
            off: if rests().next().is_some() { Lengths::of(rests()) } else { Lengths::of(on()) },
            own: own.iter().map(Block::stretch).collect(),
        }
    }

    /// When it is on within a block of the machine: the most probable path.
    pub(super) fn visits(&self, segments: &[Segment], block: &Block, log_ends: Seconds) -> Vec<Stretch> {
        let apart = RUNS_APART_LEAST.get();
        let first = segments.partition_point(|s| s.end <= block.start - apart);
        let last = segments.partition_point(|s| s.start < block.end + apart);
        let moments = self.moments(&segments[first..last], block);
        let before = self.own.iter().rev().map(|v| v.1).find(|end| *end <= block.start);
        let behind = self.own.iter().map(|v| v.0).find(|start| *start >= block.end);
        let rest = |from: Option<Seconds>, to: Option<Seconds>| match (from, to) {
            (Some(from), Some(to)) => self.off.ln(to - from),
            _ => self.off.ln_cut(),
        };
        let (mut comes, mut goes): (Vec<Way>, Vec<Way>) = (Vec::new(), Vec::new());
        for (i, moment) in moments.iter().enumerate() {
            let (mut up, mut down) = (Way::NONE, Way::NONE);
            if let Some(ln) = moment.comes {
                let cut = block.cut[0] && moment.at <= block.start;
                up.or(if cut { self.off.ln_cut() } else { rest(before, Some(moment.at)) }, None);
                (0..i).for_each(|j| up.or(goes[j].ln + self.off.ln(moment.at - moments[j].at), Some(j)));
                up.ln += ln;
            }
            if let Some(ln) = moment.goes {
                let on = |j: &usize| moments[*j].low >= moment.at - STEADY && moments[*j].at < moment.at;
                (0..i).filter(on).for_each(|j| {
                    down.or(comes[j].ln + self.on.ln(moment.at - moments[j].at), Some(j));
                });
                down.ln += ln;
            }
            comes.push(up);
            goes.push(down);
        }
        // It never comes, is off at the end, or still on where the log ends.
        let mut best = Way { ln: rest(before, behind), from: None };
        (0..moments.len()).for_each(|i| best.or(goes[i].ln + rest(Some(moments[i].at), behind), Some(i)));
        let off_at_end = best;
        if block.cut[1] {
            let lasts = |i: &usize| moments[*i].low >= block.end;
            (0..moments.len()).filter(lasts).for_each(|i| best.or(comes[i].ln + self.on.ln_cut(), Some(i)));
        }
        let mut on_until = (best.ln > off_at_end.ln).then_some(block.end.min(log_ends));
        let (mut visits, mut next) = (Vec::new(), best.from);
        while let Some(i) = next {
            next = match on_until.take() {
                Some(end) => {
                    visits.push((moments[i].at, end));
                    comes[i].from
                }
                None => {
                    on_until = Some(moments[i].at);
                    goes[i].from
                }
            };
        }
        visits.reverse();
        visits
    }

    /// All moments of a block, in order of time.
    fn moments(&self, own: &[Segment], block: &Block) -> Vec<Moment> {
        let steady = |s: &&Segment| s.duration() >= STEADY;
        let rate = own.len() as f64 / block.lasts().0.max(EVERY.0);
        let mut all = Vec::new();
        for i in 1..own.len() {
            let at = own[i].start;
            let near = |s: &&Segment| s.start - at < STARTS_WITHIN.get() && at - s.end < STARTS_WITHIN.get();
            let before = own[..i].iter().rev().take_while(near).find(steady);
            let behind = own[i..].iter().take_while(near).find(steady);
            let Some((before, behind)) = before.zip(behind) else { continue };
            let (step, beside) = ((behind.power - before.power).0, before.power.min(behind.power).0);
            // A step of anything else is as often of any size, on a logarithmic scale up to that of a heater.
            let other = (rate / (2.0 * step.abs().max(1.0) * HEATER_AT_LEAST.get().ln())).ln();
            let is_large = step.abs() * ONE_LEVEL.get() > self.level.0;
            let comes = (is_large && step > 0.0).then(|| self.rises.ln(step, beside) - other);
            let goes = (is_large && step < 0.0).then(|| self.falls.ln(-step, beside) - other);
            if is_large {
                all.push(Moment { at, comes, goes, low: at });
            }
        }
        // Beside a heater, which wanders by as much, no step shows.
        let hot = |at: Seconds| {
            let segment = own.get(own.partition_point(|s| s.end <= at));
            segment.is_some_and(|s| s.power.0 > HEATER_AT_LEAST.get())
        };
        let mut at = block.start;
        while at <= block.end {
            let ln = EVERY.0.ln() + if hot(at) { 0.0 } else { STEP_UNSEEN.get().ln() };
            all.push(Moment { at, comes: Some(ln), goes: Some(ln), low: at });
            at += EVERY;
        }
        all.sort_by(|a, b| a.at.total_cmp(&b.at));
        let least = self.nothing.0 + self.level.0 / ONE_LEVEL.get();
        let lows: Vec<&Segment> = own.iter().filter(steady).filter(|s| s.power.0 < least).collect();
        for moment in &mut all {
            let next = lows.get(lows.partition_point(|s| s.end <= moment.at + STEADY));
            moment.low = next.map_or(Seconds(f64::INFINITY), |s| s.start);
        }
        all
    }
}
