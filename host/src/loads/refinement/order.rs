//! Order: a fill valve and a vent draw nearly the same. Where the flow is not heard, because there are no pickups or no water comes,
//! the place of a small load in its run says which of them it is.

use super::pass::{Evidence, Pass, Reading};
use crate::loads::constants::emission::{DRAIN_IN_AIR_LEAST, LEVEL_SPREAD};
use crate::loads::constants::order::{
    DRAINS_WITHIN, FILL_LEADS_WITHIN, FILLS_WITHIN, LAST_DRAINS, LAST_DRIES, LAST_SMALL, ORDER_LASTS,
    SILENT_FILLS, SMALL_FILLS,
};
use crate::loads::programmes::{in_water, last_wash, programmes};
use crate::loads::span::Span;
use crate::loads::state::State;
use crate::stats::weighted_median;

pub(super) const PASS: Pass = Pass {
    name: "order",
    unknown: "what is still to come in a run: something small before the last wash lets water in, and after it does not",
    refine: order,
};

/// Names small loads by their place in the run.
fn order(reading: &mut Reading, evidence: &Evidence) {
    let before = reading.spans.clone();
    if evidence.trace.has_pickups() {
        for (i, span) in reading.spans.iter_mut().enumerate() {
            // A valve of a tap that is shut is not heard, but draws what it does at all other times.
            let like_a_fill = || over_a_fill(&before[i], evidence).abs() < 2.0;
            if span.state == State::Small && lets_in(&before, i) && like_a_fill() {
                *span = span.named(State::Fill, State::Small, SILENT_FILLS.get());
            }
        }
        return;
    }
    for run in programmes(&before, evidence.apart, evidence.trace.resolution) {
        let last_wash = last_wash(&before, &run);
        for i in run.clone() {
            let is_last = last_wash.is_some_and(|last| i > last);
            let (small, fill) = (before[i].state == State::Small, before[i].state == State::Fill);
            let lasts = before[i].duration();
            let in_water = in_water(&reading.spans[run.start..i]);
            let after_drain =
                i > 0 && reading.spans[i - 1].touches(&before[i]) && reading.spans[i - 1].state.drains();
            let span = &mut reading.spans[i];
            if small && !is_last && lasts > ORDER_LASTS.get() && !follows_heat(&before, i) {
                // What takes longer is as often none.
                let odds = if lasts < FILLS_WITHIN.get() { SMALL_FILLS.get() } else { 1.0 };
                *span = span.named(State::Fill, State::Small, odds);
            }
            // After the last wash nothing comes in.
            if !is_last || leads(&before, i) {
                continue;
            }
            // Even odds where readings are missing soon after it, for water may be used there, and of a machine that is known, of which no case was seen: what
            // draws what its valve does is not its drain pump because of another machine's.
            let hidden = hides_what_comes(&before, i);
            let odds = |odds: f64| if hidden || evidence.known { 1.0 } else { odds };
            let may_drain = in_water || after_drain && may_draw_air(&before[i], evidence);
            if fill && may_drain && lasts < DRAINS_WITHIN.get() {
                *span = span.named(State::Drain, State::Small, odds(LAST_DRAINS.get()));
            } else if fill {
                *span = span.named(State::Small, State::Drain, odds(LAST_DRIES.get()));
            } else if small && !follows_heat(&before, i) && over_a_fill(span, evidence).abs() < 2.0 {
                *span = span.named(State::Small, State::Fill, odds(LAST_SMALL.get()));
            }
        }
    }
}

/// Whether a span draws what the drain pump may draw in air; of a machine of which it is not known what its pump draws, anything may be.
fn may_draw_air(span: &Span, evidence: &Evidence) -> bool {
    let signatures = evidence.levels.at(span.start);
    let power = evidence.trace.between(span.start, span.end).map(|s| (s.power.0, s.duration().0));
    let least = signatures.standby.0 + DRAIN_IN_AIR_LEAST.get() * signatures.drain.0;
    !signatures.given || weighted_median(power).is_some_and(|power| power > least)
}

/// By how many times the spread of a level a span draws more than the fill valve does; without readings, by nothing.
fn over_a_fill(span: &Span, evidence: &Evidence) -> f64 {
    let power = evidence.trace.between(span.start, span.end).map(|s| (s.power.0, s.duration().0));
    let signatures = evidence.levels.at(span.start);
    let (fill, standby) = (signatures.fill.0, signatures.standby.0);
    let spread = (LEVEL_SPREAD.get() * fill).hypot(signatures.meter.0);
    weighted_median(power).map_or(0.0, |power| (power - standby - fill) / spread)
}

/// Whether a small load is a valve: it lasts, water is used right after it, and it is no vent that follows heat.
fn lets_in(spans: &[Span], i: usize) -> bool {
    spans[i].duration() > ORDER_LASTS.get() && leads_straight(spans, i) && !follows_heat(spans, i)
}

/// Whether the machine uses water in a span.
fn uses_water(span: &Span) -> bool {
    matches!(span.state, State::Wash | State::Inrush | State::Drain | State::Heat | State::PartHeat)
}

/// Whether water is used right after a span.
fn leads_straight(spans: &[Span], i: usize) -> bool {
    spans.get(i + 1).is_some_and(|next| spans[i].touches(next) && uses_water(next))
}

/// Whether water is used soon after a span.
fn leads(spans: &[Span], i: usize) -> bool {
    let end = spans[i].end;
    let mut soon = spans[i + 1..].iter().take_while(|s| s.start - end < FILL_LEADS_WITHIN.get());
    soon.any(uses_water)
}

/// Whether the readings end, or some are missing, so soon after a span that it may lead to water all the same.
fn hides_what_comes(spans: &[Span], i: usize) -> bool {
    let soon = |pair: &&[Span]| pair[0].end - spans[i].end < FILL_LEADS_WITHIN.get();
    let missing = spans[i..].windows(2).take_while(soon).any(|pair| !pair[0].touches(&pair[1]));
    missing || i + 1 == spans.len()
}

/// Whether a span follows heat or a vent, as in drying.
fn follows_heat(spans: &[Span], i: usize) -> bool {
    let dries = |s: &Span| matches!(s.state, State::DryHeat | State::PartDry | State::Heat | State::Small);
    i.checked_sub(1).is_some_and(|before| spans[before].touches(&spans[i]) && dries(&spans[before]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::{DRAIN, STANDBY, heard, pass, spans, trace};
    use crate::trace::Trace;

    const WATER: [(State, f64); 3] = [(State::Fill, 60.0), (State::Wash, 600.0), (State::Drain, 60.0)];

    /// The probability at these odds.
    fn sure(odds: f64) -> f64 {
        1.0 - 1.0 / (1.0 + odds)
    }

    /// What the last of these spans is taken for, and how surely, where it follows a whole water and `then` comes after.
    fn after_a_water(last: State, then: &[(State, f64)], trace: &Trace) -> (State, f64) {
        let model = spans(&[WATER.as_slice(), &[(State::Off, 30.0), (last, 60.0)], then].concat());
        let named = pass("order", model, trace).spans[4];
        (named.state, named.certainty())
    }

    #[test]
    fn something_small_right_before_water_is_used_is_a_fill() {
        let wash = [(State::Wash, 600.0)];
        assert_eq!(
            after_a_water(State::Small, &wash, &trace(&[(1_400, 14.0)])),
            (State::Fill, sure(SMALL_FILLS.get()))
        );
        assert_eq!(
            after_a_water(State::Small, &wash, &heard(&[(1_400, 14.0)], &[])),
            (State::Fill, sure(SILENT_FILLS.get()))
        );
        // Where water is heard, what draws twice as much and is not heard lets none in.
        assert_eq!(after_a_water(State::Small, &wash, &heard(&[(1_400, 26.0)], &[])), (State::Small, 1.0));
    }

    #[test]
    fn something_small_before_the_last_wash_is_a_fill_where_nothing_is_heard() {
        let later = [(State::Off, 30.0), (State::Wash, 600.0)];
        assert_eq!(
            after_a_water(State::Small, &later, &trace(&[(1_400, 14.0)])),
            (State::Fill, sure(SMALL_FILLS.get()))
        );
        // With pickups a fill would have been heard.
        assert_eq!(after_a_water(State::Small, &later, &heard(&[(1_400, 14.0)], &[])), (State::Small, 1.0));
    }

    #[test]
    fn what_goes_on_from_a_drain_as_a_pump_draws_in_air_is_a_drain() {
        let after = |watts: f64| {
            let model = spans(&[WATER.as_slice(), &[(State::Fill, 40.0), (State::Off, 600.0)]].concat());
            let named = pass("order", model, &trace(&[(720, 2.0), (40, watts), (600, 2.0)])).spans[3];
            (named.state, named.certainty())
        };
        assert_eq!(after(STANDBY + 0.6 * DRAIN), (State::Drain, 0.5));
        assert_eq!(after(STANDBY + 0.4 * DRAIN), (State::Small, 0.5));
    }

    #[test]
    fn a_fill_after_the_last_wash_is_none_where_nothing_is_heard() {
        let nothing = [(State::Off, 600.0)];
        assert_eq!(after_a_water(State::Fill, &nothing, &trace(&[(1_400, 14.0)])), (State::Small, 0.5));
        assert_eq!(after_a_water(State::Fill, &nothing, &heard(&[(1_400, 14.0)], &[])), (State::Fill, 1.0));
    }

    /// A pump that stalls in each water: nothing says which fill is the last.
    #[test]
    fn fills_of_a_run_that_never_washes_stay() {
        let water = [(State::Fill, 60.0), (State::Inrush, 4.0), (State::Drain, 60.0)];
        let model = spans(&water.repeat(3));
        assert_eq!(pass("order", model.clone(), &trace(&[(372, 14.0)])).spans, model);
    }

    /// A programme in the wrong order: it dries, and then lets water in and washes once more.
    #[test]
    fn a_vent_after_heat_in_a_drained_tub_dries_although_a_wash_follows() {
        let dries =
            [(State::DryHeat, 300.0), (State::Small, 200.0), (State::Fill, 60.0), (State::Wash, 300.0)];
        let model = spans(&[WATER.as_slice(), &dries].concat());
        assert_eq!(pass("order", model.clone(), &trace(&[(1_580, 14.0)])).spans, model);
    }

    #[test]
    fn what_dries_stays() {
        let dries =
            [WATER.as_slice(), &[(State::DryHeat, 300.0), (State::Small, 60.0), (State::Drain, 20.0)]];
        let model = spans(&dries.concat());
        assert_eq!(pass("order", model.clone(), &trace(&[(1_100, 14.0)])).spans, model);
    }
}
