//! The judgement of a cycle in its context: all checks measure, it is decided once what can be shown and told, and what is masked is
//! dropped; and which of the rest follows from what.

use tubtrace_units::{Load, Seconds};

use super::check::{Check, Grade, Needs};
use super::constants::{READINGS, TOLD_FROM, TYPICAL};
use super::context::{Context, Surroundings};
use super::event::Event;
use super::found::Found;
use super::list::all;
use super::measure::signs;
use super::moved::with_moved_boundaries;
use super::outside::Outside;
use super::uncertainty::Band;
use crate::alignment::Explanation;
use crate::chart::{Chart, Expected};
use crate::intervals::{Cycle, Interval, Kind, Seen};

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

    /// What was found of a drain, as that it goes on, is no surer than that it is one.
    fn no_surer(&self, found: Outside) -> Outside {
        let of = self.at(found.start).filter(|i| i.kind == Kind::Drain && i.kind == found.does);
        Outside {
            certainty: of.map_or(found.certainty, |i| found.certainty.min(self.certainty_of(i))),
            ..found
        }
    }

    /// Whether this is only how drying went: how often a vent, a fan or an element switches follows how warm it is. An element that heats nothing
    /// while it should dry is another matter.
    fn is_how_it_dries(&self, found: &Outside) -> bool {
        let heats = |i: &Interval| i.kind == Kind::Dry && i.loads.has(Load::Heater);
        let heated = found.place.is_some_and(|place| self.expected(place).amps.is_some());
        let learned = self.chart.seen > 0;
        found.does == Kind::Dry && learned && (!heated || self.cycle.intervals.iter().any(heats))
    }
}

/// All that is outside of its limits in a context, that its readings can show and that nothing masks, check by check; only of checks that
/// need no more than is known. A chart that was typed off a sheet says nothing of the machine.
pub(crate) fn judge(context: &Context, known: Needs) -> Vec<Found> {
    let unseen = context.cycle.seen != Seen::Current;
    let checks =
        all().filter(|check| check.unseen == unseen && (check.needs <= known || check.unusual_alone));
    let checks = checks.filter(|check| known == Needs::Nothing || !check.stands_in);
    let checks = checks.filter(|check| check.needs != Needs::Machine || !context.chart.of_sheet);
    let asked = |check: &Check, outside: &Outside| match known {
        Needs::Programme => true,
        Needs::Machine => outside.place.is_none() || !check.chosen.contains(&outside.does),
        Needs::Nothing => outside.place.is_none(),
    };
    let grade = |check: &Check, outside: &Outside| {
        let dries = check.unusual_in_drying && context.is_how_it_dries(outside);
        if check.needs > known || dries { Grade::Unusual } else { check.grade }
    };
    let found = |check: &'static Check| {
        let found = move |outside: Outside| {
            let grade = grade(check, &outside);
            Found { check, outside: context.no_surer(outside), grade, follows: None }
        };
        (check.hold)(context).into_iter().map(found)
    };
    let lost = |at| context.lost_about(at).is_some() || context.cut_about(at);
    let seen = |f: &Found| !f.check.of_whole_waters || !lost(f.outside.start);
    let told = |f: &Found| asked(f.check, &f.outside) && seen(f) && shows(context, f);
    let found = checks.flat_map(found).filter(told);
    let found: Vec<Found> = found.collect();
    let stands: Vec<bool> = found.iter().map(|f| stands(f.check, &found)).collect();
    let found = found.into_iter().zip(stands).filter(|(_, stands)| *stands).map(|(found, _)| found).collect();
    with_moved_boundaries(context, with_causes(found))
}

/// The same, each with what it follows from: what is told, does not begin after it, and brings such things about.
fn with_causes(mut found: Vec<Found>) -> Vec<Found> {
    let causes: Vec<Option<&Check>> = found.iter().map(|f| cause(f, &found)).collect();
    found.iter_mut().zip(causes).for_each(|(found, cause)| found.follows = cause);
    found
}

/// Of several, the one that is told first.
fn cause(of: &Found, found: &[Found]) -> Option<&'static Check> {
    let brings = |other: &&Found| {
        let earlier = other.outside.is_decided() && other.outside.start <= of.outside.start;
        earlier && other.check.followed_by.iter().any(|kind| of.is(kind))
    };
    found.iter().filter(brings).map(|other| other.check).min_by_key(|check| check.rank)
}

/// Whether what a check found is told beside all else that was found. What cannot be told masks nothing, and neither does what
/// is masked itself. No check masks itself by way of others; a test holds that.
fn stands(check: &Check, found: &[Found]) -> bool {
    let is_told = |kind: &&str| {
        found.iter().any(|other| other.outside.is_decided() && other.is(kind) && stands(other.check, found))
    };
    let beside = check.only_with.is_empty() || check.only_with.iter().any(&is_told);
    beside && !check.masked_by.iter().any(is_told)
}

/// Whether the trace is fine enough for the event that this rests on.
fn shows(context: &Context, Found { check, outside, .. }: &Found) -> bool {
    let measured = Seconds(outside.measured.number());
    let event = match check.event {
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
    use crate::quantity::Quantity;

    fn found(id: &str, does: Kind) -> Found {
        let check = all().find(|c| c.id == id).unwrap();
        let measured = Quantity::Count(1);
        let outside = Outside::new(("", does), Seconds(0.0), measured, (None, None), Quantity::Count(0));
        Found { check, outside, grade: check.grade, follows: None }
    }

    fn at(start: f64, found: Found) -> Found {
        Found { outside: Outside { start: Seconds(start), ..found.outside.clone() }, ..found }
    }

    fn following(found: Vec<Found>) -> Vec<Option<&'static str>> {
        with_causes(found).iter().map(|f| f.follows.map(|check| check.id)).collect()
    }

    #[test]
    fn what_comes_later_and_is_brought_about_follows() {
        let cold = at(500.0, found("no-heat", Kind::Heat));
        let (before, after) =
            (at(100.0, found("too-short", Kind::Wash)), at(900.0, found("too-short", Kind::Dry)));
        let (fill, same) =
            (at(900.0, found("too-short", Kind::Fill)), at(500.0, found("too-long", Kind::Wash)));
        let all = vec![before, cold, after, fill, same];
        assert_eq!(following(all), [None, None, Some("no-heat"), None, Some("no-heat")]);
    }

    #[test]
    fn nothing_follows_from_what_cannot_be_told() {
        let cold = found("no-heat", Kind::Heat);
        let unsure = Found { outside: cold.outside.clone().sure(0.5), ..cold };
        assert_eq!(following(vec![unsure, found("too-short", Kind::Dry)]), [None, None]);
    }

    fn standing(found: &[Found]) -> Vec<&'static str> {
        found.iter().filter(|f| stands(f.check, found)).map(|f| f.check.id).collect()
    }

    #[test]
    fn what_is_masked_is_dropped_and_masks_nothing() {
        let (sag, air) = (found("mains-low", Kind::Heat), found("unsteady", Kind::Wash));
        assert_eq!(standing(std::slice::from_ref(&sag)), ["mains-low"]);
        assert_eq!(standing(&[sag, air]), ["unsteady"]);
        let (deaf, late) = (found("drain-deaf", Kind::Drain), found("empties-late", Kind::Drain));
        assert_eq!(standing(&[deaf.clone(), late.clone()]), ["empties-late"]);
        let silent = [deaf, late, found("no-drain-flow", Kind::Drain), found("missing", Kind::Fill)];
        assert_eq!(standing(&silent), ["no-drain-flow", "missing"]);
    }

    #[test]
    fn what_cannot_be_told_masks_nothing() {
        let (sag, air) = (found("mains-low", Kind::Heat), found("unsteady", Kind::Wash));
        let unsure = Found { outside: air.outside.clone().sure(0.5), ..air.clone() };
        let near = Found { outside: air.outside.band(Band::Guard), ..air };
        assert_eq!(standing(&[sag.clone(), unsure]).len(), 2);
        assert_eq!(standing(&[sag, near]).len(), 2);
    }

    #[test]
    fn a_mask_may_ask_what_the_machine_does() {
        let deaf = found("drain-deaf", Kind::Drain);
        assert_eq!(standing(&[deaf.clone(), found("too-short", Kind::Fill)]), ["too-short"]);
        assert_eq!(standing(&[deaf, found("too-short", Kind::Wash)]).len(), 2);
    }

    #[test]
    fn what_is_told_beside_something_needs_it() {
        let hot = found("heat-at-end", Kind::Dry);
        assert!(standing(std::slice::from_ref(&hot)).is_empty());
        assert!(standing(&[hot.clone(), found("too-long", Kind::Wash)]).contains(&"too-long"));
        assert_eq!(standing(&[hot, found("too-long", Kind::Dry)]).len(), 2);
    }
}
