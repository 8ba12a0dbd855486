//! The dispenser: its power is less than the spread of the wash pump's level, so it is no state of the model, but in a pump that runs
//! steadily it is a clear step, which is looked for within each span of washing.

use std::collections::BTreeSet;

use tubtrace_units::{Seconds, Watts};

use super::pass::{Evidence, Pass, Reading};
use super::seconds::{edge, seconds};
use crate::loads::constants::steps::{
    DISPENSER_FLAT, DISPENSER_FLAT_STEP, DISPENSER_LEAST, DISPENSER_LEFT, DISPENSER_LONGEST,
    DISPENSER_MARGIN, DISPENSER_MOST, DISPENSER_ROUNDINGS, DISPENSER_SHORTEST, DISPENSER_STANDS_OUT,
    DISPENSER_TO_HEAT, ROUNDED_READINGS,
};
use crate::loads::span::Span;
use crate::loads::state::State;
use crate::stats::weighted_median;
use crate::trace::Trace;

/// Readings of which more differ than this are not rounded to anything that matters.
const MOST_ROUNDED: usize = 4_096;

pub(super) const PASS: Pass = Pass {
    name: "dispenser",
    unknown: "that a small step in a steady wash pump is the dispenser: it is smaller than the spread of the pump's level",
    refine: dispenser,
};

/// Splits washing where the dispenser is on.
fn dispenser(reading: &mut Reading, evidence: &Evidence) {
    // Of what lasts for less than three readings, none may be its own: both ends lie within one.
    if evidence.trace.resolution.0 * 3.0 > DISPENSER_LONGEST.get() {
        return;
    }
    let spans = &reading.spans;
    let mut split = Vec::with_capacity(spans.len());
    let rounded = DISPENSER_ROUNDINGS.get() * rounding(evidence.trace);
    for (i, span) in spans.iter().enumerate() {
        let heat_follows =
            spans.get(i + 1).is_some_and(|next| span.touches(next) && next.state == State::Heat);
        if span.state != State::Wash {
            split.push(*span);
            continue;
        }
        let signatures = evidence.levels.at(span.start);
        let wash = signatures.standby + signatures.wash;
        let mut from = span.start;
        for (start, end) in steps(span, evidence.trace, wash, rounded, heat_follows) {
            // The dispenser lasts up to the heat: the last second before it is averaged over the change.
            let end = if heat_follows && span.end - end < DISPENSER_TO_HEAT.get() { span.end } else { end };
            split.push(Span { start: from, end: start, ..*span });
            split.push(Span { start, end, ..*span }.is_really(State::Dispense));
            from = end;
        }
        if span.end > from {
            split.push(Span { start: from, ..*span });
        }
    }
    reading.spans = split;
}

/// To what the readings of a meter are rounded, in watts: the least by which two of them differ. None where they are too few to say so, or too
/// many to be rounded.
fn rounding(trace: &Trace) -> f64 {
    // Of what is not below zero the order of the bits is that of the numbers.
    let mut readings: BTreeSet<u64> = BTreeSet::new();
    for step in trace.steps.iter() {
        readings.insert(step.power.0.max(0.0).to_bits());
        if readings.len() > MOST_ROUNDED {
            return 0.0;
        }
    }
    if readings.len() < ROUNDED_READINGS.get() {
        return 0.0;
    }
    let watts: Vec<f64> = readings.into_iter().map(f64::from_bits).collect();
    watts.windows(2).map(|pair| pair[1] - pair[0]).fold(f64::INFINITY, f64::min)
}

/// Start and end of each stretch in which power is higher by what a dispenser adds, and by `rounded` at least.
fn steps(
    span: &Span,
    trace: &Trace,
    wash: Watts,
    rounded: f64,
    heat_follows: bool,
) -> Vec<(Seconds, Seconds)> {
    let power = seconds(span, trace);
    let Some(base) = weighted_median(power.iter().filter(|p| p.is_finite()).map(|p| (*p, 1.0))) else {
        return Vec::new();
    };
    let least = DISPENSER_LEAST.get().max(DISPENSER_STANDS_OUT.get() * wash.0).max(rounded);
    let above = |p: &f64| (least..DISPENSER_MOST.get()).contains(&(p - base));
    let mut found = Vec::new();
    let mut at = 0;
    for stretch in power.chunk_by(|a, b| above(a) == above(b)) {
        let (start, end) = (at, at + stretch.len());
        at = end;
        if above(&stretch[0]) && is_step(&power, start..end, base, heat_follows) {
            // To the second; the edges are located below.
            found.push((span.start + Seconds(start as f64), span.start + Seconds(end as f64)));
        }
    }
    found.into_iter().map(|(a, b)| (edge(trace, a, base, least), edge(trace, b, base, least))).collect()
}

/// Whether a stretch of seconds in which power is higher lasts as long as a dispenser, is flat, and has the pump's own power before and
/// after it.
fn is_step(power: &[f64], range: std::ops::Range<usize>, base: f64, heat_follows: bool) -> bool {
    let lasts = range.len() as f64;
    let inner = &power[range.start + 1..range.end.saturating_sub(1).max(range.start + 1)];
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len().max(1) as f64;
    if !(DISPENSER_SHORTEST.get()..=DISPENSER_LONGEST.get()).contains(&lasts) || inner.is_empty() {
        return false;
    }
    let height = mean(inner) - base;
    let flat = inner
        .iter()
        .all(|p| (p - base - height).abs() < DISPENSER_FLAT.get() * height.max(DISPENSER_FLAT_STEP.get()));
    let beside = DISPENSER_MARGIN.get();
    let before = &power[range.start.saturating_sub(beside + 1)..range.start.saturating_sub(1)];
    let after = &power[(range.end + 1).min(power.len())..(range.end + 1 + beside).min(power.len())];
    let low = |values: &[f64]| !values.is_empty() && mean(values) - base < DISPENSER_LEFT.get() * height;
    flat && low(before) && (low(after) || (after.is_empty() && heat_follows))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{STANDBY, WASH, pass, spans, told, trace};

    fn washing_with(step: f64, seconds: u32) -> Vec<(State, f64)> {
        let readings = [(60, STANDBY + WASH), (seconds, STANDBY + WASH + step), (60, STANDBY + WASH)];
        let washing = spans(&[(State::Wash, 120.0 + f64::from(seconds))]);
        told(&pass("dispenser", washing, &trace(&readings)).spans)
    }

    #[test]
    fn a_small_step_of_half_a_minute_is_the_dispenser() {
        let expected = [(State::Wash, 60.0), (State::Dispense, 30.0), (State::Wash, 60.0)];
        assert_eq!(washing_with(8.0, 30), expected);
    }

    /// A meter that rounds to 5 W shows a step of 10 W where the pump draws a little more.
    #[test]
    fn of_readings_that_are_rounded_it_is_three_steps_at_least() {
        let washing_with = |step: f64| {
            let heats: Vec<(u32, f64)> = (0..9).map(|i| (2, 2_000.0 + 5.0 * f64::from(i))).collect();
            let pump = 5.0 * ((STANDBY + WASH) / 5.0).round();
            let readings = [vec![(60, pump), (30, pump + step), (60, pump)], heats].concat();
            let washing = spans(&[(State::Wash, 150.0), (State::Off, 18.0)]);
            told(&pass("dispenser", washing, &trace(&readings)).spans)
        };
        let dispenses = |step| washing_with(step).iter().any(|(state, _)| *state == State::Dispense);
        assert_eq!([5.0, 10.0, 15.0].map(dispenses), [false, false, true]);
    }

    /// A mean of 30 s in which the pump draws a little more is no dispenser: three of them last for longer than it does.
    #[test]
    fn of_means_of_half_a_minute_it_is_not_told() {
        let readings = [(60, STANDBY + WASH), (30, STANDBY + WASH + 8.0), (60, STANDBY + WASH)];
        let means = Trace { resolution: Seconds(30.0), ..trace(&readings) };
        let told = told(&pass("dispenser", spans(&[(State::Wash, 150.0)]), &means).spans);
        assert_eq!(told, [(State::Wash, 150.0)]);
    }

    #[test]
    fn a_step_of_another_height_or_length_is_not() {
        for (step, seconds) in [(1.0, 30), (25.0, 30), (8.0, 4), (8.0, 55 * 2)] {
            let told = washing_with(step, seconds);
            assert!(told.iter().all(|(state, _)| *state == State::Wash), "{step} W, {seconds} s: {told:?}");
        }
    }
}
