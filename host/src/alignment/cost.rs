//! How improbable it is: each cost is about minus the logarithm of how often the like is seen. Common practice, no
//! source; what matters is their order.

use tubtrace_units::Seconds;

use super::{Act, acts::lasted};
use crate::chart::{Expected, Limits};
use crate::intervals::Kind;

/// Something that may be left out is left out.
pub(super) const LEFT_OUT: f64 = 0.3;

/// Something that must come does not.
const MISSING: f64 = 12.0;

/// A whole part that must come does not: one thing that is wrong, and not as many as it has intervals.
pub(super) const MISSING_PART: f64 = 18.0;

/// The same beside a gap: it may have come unseen.
const UNSEEN: f64 = 3.0;

/// Shorter than this, an interruption is a blink of a relay or of a reading.
const BLINK: Seconds = Seconds(10.0);

/// A duration outside its limits costs [`OUTSIDE`] and ((ln of the ratio) / this)^2, up to [`ODD_LENGTH`]. However
/// little it is outside, an explanation that leaves out what may be left out is better.
const OUTSIDE: f64 = 1.0;
const SPREAD: f64 = 0.35;
const ODD_LENGTH: f64 = 6.0;

/// A required interval is missing before act `before`.
pub(super) fn missing(expected: &Expected, acts: &[Act], before: usize) -> f64 {
    if unseen(expected, acts, before) {
        UNSEEN
    } else if expected.kind == Kind::Pause {
        1.0
    } else {
        MISSING
    }
}

/// Whether an interval that is missing before act `before` may have come in a gap there: one that is long enough.
pub(crate) fn unseen(expected: &Expected, acts: &[Act], before: usize) -> bool {
    let least = expected.lasts.map_or(Seconds(0.0), |l| l.low);
    let hides = |i: Option<usize>| {
        i.and_then(|i| acts.get(i)).is_some_and(|a| a.kind == Kind::Gap && a.duration() > least)
    };
    hides(Some(before)) || hides(before.checked_sub(1))
}

/// An act that no chart asks for.
pub(super) fn extra(act: &Act) -> f64 {
    let seconds = act.duration().0;
    match act.kind {
        Kind::Gap => 0.0,
        Kind::Pause => (0.3 + seconds / 60.0).min(6.0),
        _ if act.duration() < BLINK => 1.5,
        Kind::Dry => 4.0,
        Kind::Stall => 5.0,
        Kind::Purge => 6.0,
        // The longer it is, the less it is nothing.
        Kind::Fill | Kind::Drain => (5.0 + seconds / 20.0).min(9.0),
        Kind::Wash | Kind::Heat => (5.0 + seconds / 60.0).min(9.0),
    }
}

/// These acts are the expected interval; `None` where they cannot be.
pub(super) fn matched(expected: &Expected, acts: &[Act]) -> Option<f64> {
    let (first, last) = (acts.first()?, acts.last()?);
    let own = |act: &Act| substitute(expected.kind, act.kind);
    let stand_in = own(first)?.max(own(last)?);
    let inner =
        acts[1..acts.len().max(2) - 1].iter().map(|a| interruption(expected, a)).sum::<Option<f64>>()?;
    let unheated = expected.kind == Kind::Heat && acts.iter().all(|a| a.kind != Kind::Heat);
    let short = if unheated { too_short_for_heat(expected, acts) } else { 0.0 };
    Some(stand_in + inner + odd_length(expected, acts) + short)
}

/// What it costs that `seen` stands for `expected`.
fn substitute(expected: Kind, seen: Kind) -> Option<f64> {
    match (expected, seen) {
        (a, b) if a == b => Some(0.0),
        // Heat that does not come, or comes unasked; a heater seen without its pump, or the other way round.
        (Kind::Heat, Kind::Wash) | (Kind::Wash, Kind::Heat) => Some(5.0),
        (Kind::Dry, Kind::Heat) => Some(3.0),
        (Kind::Wash, Kind::Stall) => Some(4.0),
        (Kind::Heat, Kind::Stall) => Some(6.0),
        // Small loads whose level says too little.
        (Kind::Fill, Kind::Drain) | (Kind::Drain, Kind::Fill) | (Kind::Dry, Kind::Drain | Kind::Fill) => {
            Some(6.0)
        }
        // The control waits and nothing runs; drying is mostly waiting.
        (Kind::Dry, Kind::Pause) => Some(5.0),
        (Kind::Drain | Kind::Fill, Kind::Pause) => Some(7.0),
        _ => None,
    }
}

/// What it costs that `act` comes in the middle.
fn interruption(expected: &Expected, act: &Act) -> Option<f64> {
    let kind = expected.kind;
    match act.kind {
        Kind::Gap => Some(0.0),
        k if k == kind => Some(0.0),
        Kind::Purge if matches!(kind, Kind::Wash | Kind::Heat) => {
            Some(if expected.purges.high > 0 { 0.0 } else { 4.0 })
        }
        // A stalled pump tries again and again.
        Kind::Stall | Kind::Pause if kind == Kind::Wash && act.duration() < BLINK * 12.0 => Some(0.4),
        _ if act.duration() < BLINK => Some(1.0),
        Kind::Wash if kind == Kind::Heat => Some(1.5),
        Kind::Pause => Some((act.duration().0 / 20.0).min(6.0)),
        Kind::Heat if kind == Kind::Wash => Some(6.0),
        Kind::Dry | Kind::Fill if kind == Kind::Drain => Some(3.0),
        Kind::Drain if kind == Kind::Fill => Some(3.0),
        _ => None,
    }
}

/// These acts, all washing, are washing and holding without heat.
pub(super) fn unheated(expected: &[&Expected], acts: &[Act]) -> Option<f64> {
    let holds = expected.iter().filter(|e| e.kind == Kind::Heat).count();
    let washes = expected.iter().filter(|e| e.kind == Kind::Wash).count();
    if holds == 0 || holds + washes != expected.len() || acts.first()?.kind != Kind::Wash {
        return None;
    }
    // A wash that has the durations and purges of all of them.
    let mut all = Expected::new("", Kind::Wash);
    all.lasts = expected.iter().map(|e| e.lasts).reduce(|a, b| {
        let (a, b) = (a?, b?);
        Some(Limits { low: a.low + b.low, high: a.high + b.high })
    })?;
    all.purges.high = expected.iter().map(|e| e.purges.high).sum();
    Some(5.0 * holds as f64 + matched(&all, acts)? + too_short_for_heat(&all, acts))
}

/// Without heat it takes as long as with it, or longer: what is much shorter is something else, however improbable.
fn too_short_for_heat(expected: &Expected, acts: &[Act]) -> f64 {
    let (whole, gaps) = lasted(Kind::Wash, acts);
    let low = expected.lasts.map_or(Seconds(0.0), |l| l.low) - gaps;
    let short = (low.max(Seconds(1.0)) / whole.max(Seconds(1.0))).ln().max(0.0) / SPREAD;
    short.powi(2)
}

fn odd_length(expected: &Expected, acts: &[Act]) -> f64 {
    let Some(Limits { low, high }) = expected.lasts else { return 0.0 };
    let (whole, gaps) = lasted(expected.kind, acts);
    // It lasted between what was seen and, if it went on through the gaps, the whole.
    let beyond = if whole < low {
        low.max(Seconds(1.0)) / whole.max(Seconds(1.0))
    } else if whole - gaps > high {
        (whole - gaps) / high.max(Seconds(1.0))
    } else {
        return 0.0;
    };
    (OUTSIDE + (beyond.ln() / SPREAD).powi(2)).min(ODD_LENGTH)
}
