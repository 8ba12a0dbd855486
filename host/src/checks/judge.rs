//! The judgement of a cycle in its context: all checks measure, it is decided once what can be shown and told, and what is masked is
//! dropped.

use tubtrace_units::Seconds;

use super::constants::{READINGS, TOLD_FROM, TYPICAL};
use super::context::Context;
use super::event::Event;
use super::measure::signs;
use super::outside::Outside;
use super::uncertainty::Band;
use super::{Check, Needs, Surroundings, all};
use crate::alignment::Explanation;
use crate::chart::{Chart, Expected};
use crate::intervals::{Cycle, Seen};

impl Outside {
    /// Whether it can be told: it is outside by more than its uncertainty, and the loads are known well enough.
    #[must_use]
    pub fn is_decided(&self) -> bool {
        self.band == Band::Beyond && self.certainty >= TOLD_FROM.get()
    }
}

impl<'a> Context<'a> {
    /// A cycle, explained by a chart, with what all checks measured of it.
    pub(crate) fn new(
        chart: &'a Chart,
        cycle: &'a Cycle,
        explanation: &'a Explanation,
        surroundings: Surroundings,
    ) -> Self {
        Self { chart, cycle, explanation, surroundings, signs: signs(cycle) }
    }
}

/// All that is outside of its limits in a context, that its readings can show and that nothing masks, check by check; only of checks that
/// need no more than is known.
pub(crate) fn judge(context: &Context, known: Needs) -> Vec<Outside> {
    let unseen = context.cycle.seen != Seen::Current;
    let checks = all().filter(|check| check.unseen == unseen && check.needs <= known);
    let asked = |outside: &Outside| known == Needs::Programme || outside.place.is_none();
    let found = checks.flat_map(|check| (check.hold)(context)).filter(|o| asked(o) && shows(context, o));
    let found: Vec<Outside> = found.collect();
    let stands: Vec<bool> = found.iter().map(|outside| stands(outside.check, &found)).collect();
    found.into_iter().zip(stands).filter(|(_, stands)| *stands).map(|(outside, _)| outside).collect()
}

/// Whether what a check found is told beside all else that was found. What cannot be told masks nothing, and neither does what
/// is masked itself. No check masks itself by way of others; a test holds that.
fn stands(check: &Check, found: &[Outside]) -> bool {
    let is_told = |kind: &&str| {
        found.iter().any(|other| other.is_decided() && other.is(kind) && stands(other.check, found))
    };
    let beside = check.only_with.is_empty() || check.only_with.iter().any(&is_told);
    beside && !check.masked_by.iter().any(is_told)
}

/// Whether the trace is fine enough for the event that this rests on.
fn shows(context: &Context, outside: &Outside) -> bool {
    let measured = Seconds(outside.measured.number());
    let event = match outside.check.event {
        Event::Any => return true,
        Event::Lasts(event) => event.get(),
        Event::Itself => measured.min(shortest(context.chart)),
        Event::Interval => outside.place.map_or(measured, |place| typical(context.expected(place))),
        Event::Shortest => shortest(context.chart),
    };
    event >= context.surroundings.resolution * READINGS.get()
}

/// The shortest interval that must come.
fn shortest(chart: &Chart) -> Seconds {
    let must = chart.parts.iter().flat_map(|p| &p.intervals).filter(|i| !i.may);
    must.map(typical).reduce(Seconds::min).unwrap_or(Seconds(f64::INFINITY))
}

/// How long an interval is, about: the middle of its limits, where there are any.
fn typical(expected: &Expected) -> Seconds {
    expected.lasts.map_or(TYPICAL.get(), |l| (l.low + l.high) / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::Kind;
    use crate::quantity::Quantity;

    fn outside(id: &str, does: Kind) -> Outside {
        let check = all().find(|c| c.id == id).unwrap();
        let measured = Quantity::Count(1);
        Outside::new(check, Seconds(0.0), measured, (None, None), Quantity::Count(0)).of("", does)
    }

    fn standing(found: &[Outside]) -> Vec<&'static str> {
        found.iter().filter(|o| stands(o.check, found)).map(|o| o.check.id).collect()
    }

    #[test]
    fn what_is_masked_is_dropped_and_masks_nothing() {
        let (sag, air) = (outside("mains-low", Kind::Heat), outside("unsteady", Kind::Wash));
        assert_eq!(standing(std::slice::from_ref(&sag)), ["mains-low"]);
        assert_eq!(standing(&[sag, air]), ["unsteady"]);
        let (deaf, late) = (outside("drain-deaf", Kind::Drain), outside("empties-late", Kind::Drain));
        assert_eq!(standing(&[deaf.clone(), late.clone()]), ["empties-late"]);
        let silent = [deaf, late, outside("no-drain-flow", Kind::Drain), outside("missing", Kind::Fill)];
        assert_eq!(standing(&silent), ["no-drain-flow", "missing"]);
    }

    #[test]
    fn what_cannot_be_told_masks_nothing() {
        let (sag, air) = (outside("mains-low", Kind::Heat), outside("unsteady", Kind::Wash));
        assert_eq!(standing(&[sag.clone(), air.clone().sure(0.5)]).len(), 2);
        assert_eq!(standing(&[sag, air.band(Band::Guard)]).len(), 2);
    }

    #[test]
    fn a_mask_may_ask_what_the_machine_does() {
        let deaf = outside("drain-deaf", Kind::Drain);
        assert_eq!(standing(&[deaf.clone(), outside("too-short", Kind::Fill)]), ["too-short"]);
        assert_eq!(standing(&[deaf, outside("too-short", Kind::Wash)]).len(), 2);
    }

    #[test]
    fn what_is_told_beside_something_needs_it() {
        let hot = outside("heat-at-end", Kind::Dry);
        assert!(standing(std::slice::from_ref(&hot)).is_empty());
        assert!(standing(&[hot.clone(), outside("too-long", Kind::Wash)]).contains(&"too-long"));
        assert_eq!(standing(&[hot, outside("too-long", Kind::Dry)]).len(), 2);
    }
}
