//! Order: a fill valve and a vent draw nearly the same. Where the flow is not heard, because there are no pickups or no water comes,
//! the place of a small load in its run says which of them it is.

use super::pass::{Evidence, Pass, Reading};
use crate::loads::constants::emission::{DRAIN_IN_AIR_LEAST, LEVEL_SPREAD};
use crate::loads::constants::order::{
    BY_PLACE, DRAINS_WITHIN, FILL_LEADS_WITHIN, LEADS_NOWHERE, LEADS_STRAIGHT, ORDER_LASTS,
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
                name(span, State::Fill, LEADS_STRAIGHT.get());
            }
        }
        return;
    }
    for run in programmes(&before, evidence.apart, evidence.trace.resolution) {
        let last_wash = last_wash(&before, &run);
        for i in run.clone() {
            let (small, fill) = (before[i].state == State::Small, before[i].state == State::Fill);
            let leads_nowhere = fill && before[i].duration() > ORDER_LASTS.get() && !leads(&before, i);
            let leads_straight = small && lets_in(&before, i);
            let after_drain =
                i > 0 && reading.spans[i - 1].touches(&before[i]) && reading.spans[i - 1].state.drains();
            let vents = small && follows_heat(&before, i) && !in_water(&reading.spans[run.start..i]);
            let still_in = in_water(&reading.spans[run.start..i]);
            let span = &mut reading.spans[i];
            match last_wash {
                // A run that never washes has no such place: only what follows tells.
                None if leads_straight => name(span, State::Fill, LEADS_STRAIGHT.get()),
                None if leads_nowhere => name(span, State::Small, LEADS_NOWHERE.get()),
                // What follows heat in a tub that was drained dries it, though water may come once more.
                Some(last_wash) if i <= last_wash && vents => {}
                // Else it lets water in before the last wash, and how sure that is says what follows.
                Some(last_wash) if i <= last_wash => {
                    if small {
                        name(
                            span,
                            State::Fill,
                            if leads_straight { LEADS_STRAIGHT.get() } else { BY_PLACE.get() },
                        );
                    } else if leads_nowhere {
                        name(span, State::Fill, BY_PLACE.get());
                    }
                }
                // After it nothing comes in: water that is still in the tub leaves. What goes on for longer than that takes is no drain: the
                // pump may be dead.
                Some(_) if leads_nowhere && still_in && before[i].duration() < DRAINS_WITHIN.get() => {
                    name(span, State::Drain, BY_PLACE.get())
                }
                // A drain goes on that draws air by now.
                Some(_)
                    if leads_nowhere
                        && after_drain
                        && before[i].duration() < DRAINS_WITHIN.get()
                        && may_draw_air(&before[i], evidence) =>
                {
                    name(span, State::Drain, BY_PLACE.get())
                }
                // Or it lets out what is left, or dries.
                Some(_) if leads_nowhere => name(span, State::Small, LEADS_NOWHERE.get()),
                Some(_) if (fill || leads_straight) && after_drain => {
                    name(span, State::Drain, BY_PLACE.get())
                }
                Some(_) if fill || leads_straight => name(span, State::Small, BY_PLACE.get()),
                // What draws what the valve does and does not follow heat is named by its place alone, whoever named it.
                Some(_)
                    if small
                        && !follows_heat(&before, i)
                        && over_a_fill(&before[i], evidence).abs() < 2.0 =>
                {
                    name(span, State::Small, LEADS_NOWHERE.get())
                }
                _ => {}
            }
        }
    }
}

/// Whether a span draws what the drain pump may draw in air.
fn may_draw_air(span: &Span, evidence: &Evidence) -> bool {
    let signatures = evidence.levels.at(span.start);
    let power = evidence.trace.between(span.start, span.end).map(|s| (s.power.0, s.duration().0));
    let least = signatures.standby.0 + DRAIN_IN_AIR_LEAST.get() * signatures.drain.0;
    signatures.given && weighted_median(power).is_some_and(|power| power > least)
}

/// By how many times the spread of a level a span draws more than the fill valve does; without readings, by nothing.
fn over_a_fill(span: &Span, evidence: &Evidence) -> f64 {
    let power = evidence.trace.between(span.start, span.end).map(|s| (s.power.0, s.duration().0));
    let signatures = evidence.levels.at(span.start);
    let (fill, standby) = (signatures.fill.0, signatures.standby.0);
    let spread = (LEVEL_SPREAD.get() * fill).hypot(signatures.meter.0);
    weighted_median(power).map_or(0.0, |power| (power - standby - fill) / spread)
}

/// Names a span by its place: it is that state as surely as the model was of its own, and with this probability at most. The rest is the state that it
/// was taken for, or the other that draws as little.
fn name(span: &mut Span, state: State, at_most: f64) {
    let other = match span.state {
        own if own != state => own,
        State::Small => State::Fill,
        _ => State::Small,
    };
    let probability = span.certainty().min(at_most);
    let states = span.states.taken(other, state, 1.0);
    let all = states.of(state);
    let rest = if all > 0.0 { (1.0 - probability / all).clamp(0.0, 1.0) } else { 0.0 };
    span.states = states.taken(state, other, rest);
    span.state = state;
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

/// Whether water is used soon after a span, or readings are missing there.
fn leads(spans: &[Span], i: usize) -> bool {
    let end = spans[i].end;
    let soon = || spans[i + 1..].iter().take_while(|s| s.start - end < FILL_LEADS_WITHIN.get());
    let cut = spans.get(i + 1).is_none_or(|next| !spans[i].touches(next));
    cut || soon().any(uses_water)
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
            (State::Fill, LEADS_STRAIGHT.get())
        );
        assert_eq!(
            after_a_water(State::Small, &wash, &heard(&[(1_400, 14.0)], &[])),
            (State::Fill, LEADS_STRAIGHT.get())
        );
        // Where water is heard, what draws twice as much and is not heard lets none in.
        assert_eq!(after_a_water(State::Small, &wash, &heard(&[(1_400, 26.0)], &[])), (State::Small, 1.0));
    }

    #[test]
    fn something_small_before_the_last_wash_is_a_fill_where_nothing_is_heard() {
        let later = [(State::Off, 30.0), (State::Wash, 600.0)];
        assert_eq!(
            after_a_water(State::Small, &later, &trace(&[(1_400, 14.0)])),
            (State::Fill, BY_PLACE.get())
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
        assert_eq!(after(STANDBY + 0.6 * DRAIN), (State::Drain, BY_PLACE.get()));
        assert_eq!(after(STANDBY + 0.4 * DRAIN), (State::Small, LEADS_NOWHERE.get()));
    }

    #[test]
    fn a_fill_after_the_last_wash_is_none_where_nothing_is_heard() {
        let nothing = [(State::Off, 600.0)];
        assert_eq!(
            after_a_water(State::Fill, &nothing, &trace(&[(1_400, 14.0)])),
            (State::Small, LEADS_NOWHERE.get())
        );
        assert_eq!(after_a_water(State::Fill, &nothing, &heard(&[(1_400, 14.0)], &[])), (State::Fill, 1.0));
        let drained = spans(&[WATER.as_slice(), &[(State::Fill, 60.0), (State::Drain, 20.0)]].concat());
        assert_eq!(pass("order", drained, &trace(&[(800, 14.0)])).spans[3].state, State::Drain);
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
        // In water the same is a fill.
        let undrained = spans(&[&WATER[..2], &dries[..2], &dries[3..]].concat());
        assert_eq!(pass("order", undrained, &trace(&[(1_460, 14.0)])).spans[3].state, State::Fill);
    }

    #[test]
    fn what_dries_stays() {
        let dries =
            [WATER.as_slice(), &[(State::DryHeat, 300.0), (State::Small, 60.0), (State::Drain, 20.0)]];
        let model = spans(&dries.concat());
        assert_eq!(pass("order", model.clone(), &trace(&[(1_100, 14.0)])).spans, model);
    }
}
