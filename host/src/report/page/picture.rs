//! A cycle as a picture: everything on one axis of time.

use maud::{Markup, html};
use tubtrace_units::{Amps, Celsius, Seconds, Watts};

use super::super::subject::Subject;
use super::super::units::Units;
use super::super::wording::groups;
use super::super::words::{clock_time, minutes};
use super::axis::Extent;
use super::bands::{flags, gaps, intervals, lanes, legend, marks};
use super::curve::stretches;
use super::panel::{Allowed, Curve, Height, panel};
use super::scale::Scale;
use crate::findings::{Judged, Placed};
use crate::intervals::{Interval, Kind};
use crate::trace::{Detail, Meter, Noise, Temperature, Trace};

/// What is shown before a cycle and after it.
const BEFORE: Seconds = Seconds(60.0);
const AFTER: Seconds = Seconds(120.0);

/// What a picture is of.
#[derive(Clone, Copy)]
pub(super) struct Scene<'a> {
    pub(super) subject: Subject<'a>,
    /// What the machine did, in order of time.
    pub(super) intervals: &'a [Interval],
    pub(super) judged: Option<&'a Judged>,
    /// What it is called where it is named: "4", "before-4".
    pub(super) id: &'a str,
    /// The picture's own name, where there are two of a cycle.
    pub(super) picture: &'a str,
    /// What it is called by people.
    pub(super) title: &'a str,
    /// Points of a curve at most.
    pub(super) most: usize,
}

impl Scene<'_> {
    /// From the start of the first interval to the end of the last.
    fn stretch(&self) -> (Seconds, Seconds) {
        let ends = self.intervals.first().zip(self.intervals.last());
        ends.map_or_else(Default::default, |(first, last)| (first.start, last.end))
    }
}

/// Draws one cycle: its intervals, current, temperatures, flow noise and loads above one another on one axis of time.
pub(super) fn figure(scene: Scene) -> Markup {
    let Scene { subject, judged, id, title, .. } = scene;
    let trace = &subject.log.trace;
    let (start, end) = scene.stretch();
    let span = Extent { from: (start - BEFORE).max(Seconds(0.0)), to: (end + AFTER).min(trace.duration()) };
    let placed = judged.map_or(&[][..], |j| &j.placed);
    let groups = judged.map(|j| groups(j.standing())).unwrap_or_default();
    html! {
        figure.cycle id={ "picture-" (scene.picture) } data-span=(span.tenths(span.to)) data-clock[trace.clock.is_some()] {
            div.plot {
                (flags(&groups, span, |n| format!("finding-{id}-{n}")))
                (intervals(scene.intervals, placed, span))
                (current(trace, placed, span, scene.most))
                (temperatures(trace, placed, span, scene.most, subject.units))
                (pickups(trace, span, scene.most))
                (lanes(scene.intervals, span))
                (span.ticks(trace))
                div.over { (gaps(trace, span)) (marks(trace, span)) div.cursor hidden {} }
            }
            div.controls {
                input.read-at type="range" min="0" max=(span.tenths(span.to)) value="0" aria-label={ "Read off " (title) };
                div.buttons {
                    @for (action, sign, told) in BUTTONS {
                        button type="button" data-do=(action) aria-label=(told) title=(told) { (sign) }
                    }
                }
                output { "Point at the picture, or move the slider, to read it off." }
            }
            (legend(scene.intervals.iter(), placed))
            figcaption { (told(scene)) }
        }
    }
}

/// What the buttons do.
const BUTTONS: [(&str, &str, &str); 5] = [
    ("back", "\u{2190}", "Earlier"),
    ("on", "\u{2192}", "Later"),
    ("in", "+", "Zoom in"),
    ("out", "\u{2212}", "Zoom out"),
    ("whole", "whole", "Show the whole cycle"),
];

/// The picture in words, for whoever does not see it.
fn told(scene: Scene) -> String {
    let (trace, intervals) = (&scene.subject.log.trace, scene.intervals);
    let (from, to) = scene.stretch();
    let (start, end) = (clock_time(trace, from), clock_time(trace, to));
    let peak = trace.between(from, to).map(|s| s.power).reduce(Watts::max);
    let peak = peak.map_or_else(String::new, |watts| match trace.meter {
        Meter::Current => format!(", {:.1} at most", trace.amps(watts)),
        Meter::Power => format!(", {watts:.0} at most"),
    });
    let count = |kind| match intervals.iter().filter(|i| i.kind == kind).count() {
        1 => format!("1 {kind}"),
        n => format!("{n} {kind}s"),
    };
    let heat: Seconds = intervals.iter().filter(|i| i.kind == Kind::Heat).map(|i| i.duration()).sum();
    let heated = if heat.0 > 0.0 { format!("heated for {}", minutes(heat)) } else { "not heated".into() };
    format!(
        "{start} to {end}{peak}; {}, {}, {heated}. All of its intervals are in the table below.",
        count(Kind::Fill),
        count(Kind::Drain),
    )
}

fn current(trace: &Trace, placed: &[Placed], span: Extent, most: usize) -> Markup {
    let (name, unit) = match trace.meter {
        Meter::Current => ("current", "A"),
        Meter::Power => ("power", "W"),
    };
    let nominal = trace.nominal.volts;
    let value = |watts| if trace.meter == Meter::Current { trace.amps(watts).0 } else { watts.0 };
    let readings = trace.between(span.from, span.to).map(|s| (s.start, s.end, value(s.power)));
    let all = stretches(readings);
    // Nothing but noise is not to look like a machine that runs.
    let least = value(Amps(0.5).at(nominal));
    let scale = Scale::root(all.iter().map(|s| s.greatest()).fold(least, f64::max));
    let allowed: Vec<Allowed> = placed
        .iter()
        .filter_map(|p| {
            let limits = p.expected.amps?;
            let of = |amps: Amps| value(amps.at(nominal));
            Some(Allowed { from: p.start, to: p.end, low: of(limits.low), high: of(limits.high) })
        })
        .collect();
    let stretches = all.iter().map(|s| s.reduced(most)).collect();
    panel(&html! { (name) }, Height::Tall, scale, &allowed, &[Curve { name, unit, stretches }], span)
}

fn temperatures(trace: &Trace, placed: &[Placed], span: Extent, most: usize, units: Units) -> Markup {
    let of = |name, clip: fn(&Temperature) -> Option<Celsius>| {
        let within = trace.temperatures.iter().filter(|t| span.touches(t.start, t.end));
        let cut = |t: &Temperature| (t.start.max(span.from), t.end.min(span.to));
        let readings = within.filter_map(|t| {
            let (from, to) = cut(t);
            Some((from, to, units.degrees(clip(t)?)))
        });
        let stretches: Vec<_> = stretches(readings).iter().map(|s| s.reduced(most)).collect();
        Curve { name, unit: units.degree(), stretches }
    };
    let name = html! { i.c0 {} "supply clip" br; i.c1 {} "drain clip" };
    let curves = [of("supply clip", |t| t.supply), of("drain clip", |t| t.drain)];
    let all = || curves.iter().flat_map(|c| &c.stretches);
    if all().next().is_none() {
        return html! {};
    }
    let degrees = |c| units.degrees(c);
    let supply = placed.iter().filter_map(|p| {
        let limits = p.expected.supply?;
        Some(Allowed { from: p.start, to: p.end, low: degrees(limits.low), high: degrees(limits.high) })
    });
    let holds = placed.iter().filter_map(|p| {
        let until = degrees(p.expected.until?);
        Some(Allowed { from: p.start, to: p.end, low: until, high: until })
    });
    let allowed: Vec<Allowed> = supply.chain(holds).collect();
    let least = all().map(|s| s.least()).chain(allowed.iter().map(|a| a.low)).fold(f64::INFINITY, f64::min);
    let most_of = all().map(|s| s.greatest()).chain(allowed.iter().map(|a| a.high));
    let scale = Scale::line(least, most_of.fold(f64::NEG_INFINITY, f64::max));
    panel(&name, Height::Middle, scale, &allowed, &curves, span)
}

/// A panel of a pickup reaches to this many counts at least.
const LOUD: f64 = 20.0;

fn pickups(trace: &Trace, span: Extent, most: usize) -> Markup {
    if !trace.has_pickups() {
        return html! {};
    }
    let of = |name, level: fn(Detail) -> Noise| {
        let heard = trace.between(span.from, span.to);
        let readings = heard.filter_map(|s| Some((s.start, s.end, level(s.detail?).0)));
        let all = stretches(readings);
        let scale = Scale::root(all.iter().map(|s| s.greatest()).fold(LOUD, f64::max));
        let stretches = all.iter().map(|s| s.reduced(most)).collect();
        panel(&html! { (name) }, Height::Low, scale, &[], &[Curve { name, unit: "counts", stretches }], span)
    };
    html! {
        (of("supply pickup", |d| d.supply))
        (of("drain pickup", |d| d.drain))
    }
}
