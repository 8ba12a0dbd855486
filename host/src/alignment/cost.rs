//! How improbable it is that phases are an interval of the chart, that an interval is missing, that an phase is extra: costs, which
//! add up. Their sizes stand in `constants.rs`.

use tubtrace_units::Seconds;

use super::constants::*;
use super::phases::{Phase, lasted};
use crate::chart::{Expected, Limits};
use crate::intervals::Kind;

/// A required interval is missing before phase `before`.
pub(super) fn missing(expected: &Expected, phases: &[Phase], before: usize) -> f64 {
    if unseen(expected, phases, before) {
        UNSEEN.get()
    } else if expected.kind == Kind::Pause {
        MISSING_PAUSE.get()
    } else {
        MISSING.get()
    }
}

/// Whether an interval that is missing before phase `before` may have come in a gap there: one that is long enough.
pub(crate) fn unseen(expected: &Expected, phases: &[Phase], before: usize) -> bool {
    let least = expected.lasts.map_or(Seconds(0.0), |l| l.low);
    let hides = |i: Option<usize>| {
        i.and_then(|i| phases.get(i)).is_some_and(|a| a.kind == Kind::Gap && a.duration() > least)
    };
    hides(Some(before)) || hides(before.checked_sub(1))
}

/// An phase that no chart asks for.
pub(crate) fn extra(phase: &Phase) -> f64 {
    let lasts = phase.duration();
    match phase.kind {
        Kind::Gap => 0.0,
        Kind::Pause => (EXTRA_PAUSE.get() + lasts / EXTRA_PAUSE_GROWS.get()).min(EXTRA_PAUSE_MOST.get()),
        _ if lasts < BLINK.get() => EXTRA_BLINK.get(),
        Kind::Dry => EXTRA_DRY.get(),
        Kind::Stall => EXTRA_STALL.get(),
        Kind::Purge => EXTRA_PURGE.get(),
        Kind::Fill | Kind::Drain => (EXTRA.get() + lasts / EXTRA_WATER_GROWS.get()).min(EXTRA_MOST.get()),
        Kind::Wash | Kind::Heat => (EXTRA.get() + lasts / EXTRA_WASH_GROWS.get()).min(EXTRA_MOST.get()),
    }
}

/// These phases are the expected interval; `None` where they cannot be. Where the log cuts them, they were longer than they are.
pub(super) fn matched(expected: &Expected, phases: &[Phase], cut: bool) -> Option<f64> {
    let (first, last) = (phases.first()?, phases.last()?);
    let own = |phase: &Phase| stand_in(expected.kind, phase.kind);
    let other = own(first)?.max(own(last)?);
    let inner =
        phases[1..phases.len().max(2) - 1].iter().map(|a| interruption(expected, a)).sum::<Option<f64>>()?;
    let unheated = expected.kind == Kind::Heat && phases.iter().all(|a| a.kind != Kind::Heat);
    if cut && expected.lasts.is_some_and(|limits| lasted(expected.kind, phases).0 < limits.low) {
        return Some(other + inner);
    }
    let short = if unheated { too_short_for_heat(expected, phases) } else { 0.0 };
    Some(other + inner + odd_length(expected, phases) + short)
}

/// What it costs that `seen` stands for `expected`.
pub(crate) fn stand_in(expected: Kind, seen: Kind) -> Option<f64> {
    match (expected, seen) {
        (a, b) if a == b => Some(0.0),
        // Heat that does not come, or comes unasked; a heater seen without its pump, or the other way round.
        (Kind::Heat, Kind::Wash) | (Kind::Wash, Kind::Heat) => Some(WASH_FOR_HEAT.get()),
        (Kind::Dry, Kind::Heat) => Some(HEAT_FOR_DRY.get()),
        (Kind::Wash, Kind::Stall) => Some(STALL_FOR_WASH.get()),
        (Kind::Heat, Kind::Stall) => Some(STALL_FOR_HEAT.get()),
        // Small loads whose level says too little.
        (Kind::Fill, Kind::Drain) | (Kind::Drain, Kind::Fill) | (Kind::Dry, Kind::Drain | Kind::Fill) => {
            Some(SMALL_FOR_SMALL.get())
        }
        // The control waits and nothing runs; drying is mostly waiting.
        (Kind::Dry, Kind::Pause) => Some(PAUSE_FOR_DRY.get()),
        (Kind::Drain | Kind::Fill, Kind::Pause) => Some(PAUSE_FOR_WATER.get()),
        _ => None,
    }
}

/// What it costs that `phase` comes in the middle.
fn interruption(expected: &Expected, phase: &Phase) -> Option<f64> {
    let kind = expected.kind;
    match phase.kind {
        Kind::Gap => Some(0.0),
        k if k == kind => Some(0.0),
        Kind::Purge if matches!(kind, Kind::Wash | Kind::Heat) => {
            Some(if expected.purges.high > 0 { 0.0 } else { UNASKED_PURGE.get() })
        }
        // A stalled pump tries again and again.
        Kind::Stall | Kind::Pause if kind == Kind::Wash && phase.duration() < TRY_AGAIN_WITHIN.get() => {
            Some(TRY_AGAIN.get())
        }
        _ if phase.duration() < BLINK.get() => Some(BLINK_WITHIN.get()),
        Kind::Wash if kind == Kind::Heat => {
            let beyond = (phase.duration() - REST_OF_HEAT.get()) / EXTRA_WASH_GROWS.get();
            Some((WASH_WITHIN_HEAT.get() + beyond.max(0.0)).min(EXTRA_MOST.get()))
        }
        Kind::Pause => Some((phase.duration() / PAUSE_WITHIN_GROWS.get()).min(PAUSE_WITHIN_MOST.get())),
        Kind::Heat if kind == Kind::Wash => Some(HEAT_WITHIN_WASH.get()),
        Kind::Dry | Kind::Fill if kind == Kind::Drain => Some(SMALL_WITHIN_SMALL.get()),
        Kind::Drain if kind == Kind::Fill => Some(SMALL_WITHIN_SMALL.get()),
        _ => None,
    }
}

/// These phases, all washing, are washing and holding without heat.
pub(super) fn unheated(expected: &[&Expected], phases: &[Phase]) -> Option<f64> {
    let holds = expected.iter().filter(|e| e.kind == Kind::Heat).count();
    let washes = expected.iter().filter(|e| e.kind == Kind::Wash).count();
    if holds == 0 || holds + washes != expected.len() || phases.first()?.kind != Kind::Wash {
        return None;
    }
    // A wash that has the durations and purges of all of them.
    let mut all = Expected::new("", Kind::Wash);
    all.lasts = expected.iter().map(|e| e.lasts).reduce(|a, b| Some(a? + b?))?;
    all.purges.high = expected.iter().map(|e| e.purges.high).sum();
    Some(UNHEATED.get() * holds as f64 + matched(&all, phases, false)? + too_short_for_heat(&all, phases))
}

/// Without heat it takes as long as with it, or longer: what is much shorter is something else, however improbable.
fn too_short_for_heat(expected: &Expected, phases: &[Phase]) -> f64 {
    let (whole, gaps) = lasted(Kind::Wash, phases);
    let low = expected.lasts.map_or(Seconds(0.0), |l| l.low) - gaps;
    let short = (low.max(Seconds(1.0)) / whole.max(Seconds(1.0))).ln().max(0.0) / SPREAD.get();
    short.powi(2)
}

/// How far outside of its limits these phases of an expected interval last.
pub(crate) fn odd_length(expected: &Expected, phases: &[Phase]) -> f64 {
    let Some(Limits { low, high }) = expected.lasts else { return 0.0 };
    let (whole, gaps) = lasted(expected.kind, phases);
    // It lasted between what was seen and, if it went on through the gaps, the whole.
    let beyond = if whole < low {
        low.max(Seconds(1.0)) / whole.max(Seconds(1.0))
    } else if whole - gaps > high {
        (whole - gaps) / high.max(Seconds(1.0))
    } else {
        return 0.0;
    };
    (OUTSIDE.get() + (beyond.ln() / SPREAD.get()).powi(2)).min(ODD_LENGTH.get())
}
