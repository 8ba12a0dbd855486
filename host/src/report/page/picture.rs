//! A cycle as a picture: everything on one axis of time.

use maud::{Markup, html};
use tubtrace_units::{Amps, Celsius, Seconds, Watts};

use super::super::subject::Subject;
use super::super::wording::groups;
use super::super::words::{clock_time, minutes};
use super::axis::Extent;
use super::bands::{flags, gaps, intervals, lanes, legend, marks};
use super::curve::stretches;
use super::panel::{Allowed, Curve, Height, panel};
use super::scale::Scale;
use crate::findings::{Judged, Placed};
use crate::intervals::{Interval, Kind};
use crate::trace::{Detail, Meter, Noise, Temperature};

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

    /// What its picture covers.
    pub(super) fn extent(&self) -> Extent {
        let (start, end) = self.stretch();
        let duration = self.subject.log.trace.duration();
        Extent { from: (start - BEFORE).max(Seconds(0.0)), to: (end + AFTER).min(duration) }
    }

    /// The name of a curve of its picture, by which a cut-out shows it again.
    pub(super) fn curve(&self, of: &str) -> String {
        format!("curve-{}-{of}", self.picture)
    }
}

/// Draws one cycle: its intervals, current, temperatures, flow noise and loads above one another on one axis of time.
pub(super) fn figure(scene: Scene) -> Markup {
    let Scene { subject, judged, id, title, .. } = scene;
    let trace = &subject.log.trace;
    let span = scene.extent();
    let placed = judged.map_or(&[][..], |j| &j.placed);
    let groups = judged.map(|j| groups(j.standing())).unwrap_or_default();
    html! {
        figure.cycle id={ "picture-" (scene.picture) } data-span=(span.tenths(span.to)) data-clock[trace.clock.is_some()] {
            div.plot {
                (flags(&groups, span, |n| format!("finding-{id}-{n}")))
                (intervals(scene.intervals, placed, span))
                (current(scene, placed, span))
                (temperatures(scene, placed, span))
                (pickups(scene, span))
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

fn current(scene: Scene, placed: &[Placed], span: Extent) -> Markup {
    let (trace, most) = (&scene.subject.log.trace, scene.most);
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
    let label = html! { (name) ", " (unit) ", " br; (ROOT) };
    let curve = Curve { name, unit, id: scene.curve("drawn"), stretches };
    panel(&label, Height::Tall, scale, &allowed, &[curve], span)
}

fn temperatures(scene: Scene, placed: &[Placed], span: Extent) -> Markup {
    let (trace, units, most) = (&scene.subject.log.trace, scene.subject.units, scene.most);
    let of = |name, clip: fn(&Temperature) -> Option<Celsius>| {
        let within = trace.temperatures.iter().filter(|t| span.touches(t.start, t.end));
        let cut = |t: &Temperature| (t.start.max(span.from), t.end.min(span.to));
        let readings = within.filter_map(|t| {
            let (from, to) = cut(t);
            Some((from, to, units.degrees(clip(t)?)))
        });
        let stretches: Vec<_> = stretches(readings).iter().map(|s| s.reduced(most)).collect();
        Curve { name, unit: units.degree(), id: String::new(), stretches }
    };
    let name = html! { i.c0 {} "supply clip " br; i.c1 {} "drain clip, " (units.degree()) };
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

/// What is said of an axis on which twice as high is four times as much.
const ROOT: &str = "square-root scale";

/// A panel of a pickup reaches to this many counts at least.
const LOUD: f64 = 20.0;

fn pickups(scene: Scene, span: Extent) -> Markup {
    let (trace, most) = (&scene.subject.log.trace, scene.most);
    if !trace.has_pickups() {
        return html! {};
    }
    let of = |name, which: &str, level: fn(Detail) -> Noise| {
        let heard = trace.between(span.from, span.to);
        let readings = heard.filter_map(|s| Some((s.start, s.end, level(s.detail?).0)));
        let all = stretches(readings);
        let scale = Scale::root(all.iter().map(|s| s.greatest()).fold(LOUD, f64::max));
        let stretches = all.iter().map(|s| s.reduced(most)).collect();
        let curve = Curve { name, unit: "", id: scene.curve(which), stretches };
        panel(&html! { (name) ", " br; (ROOT) }, Height::Low, scale, &[], &[curve], span)
    };
    html! {
        (of("supply flow noise", "supply", |d| d.supply))
        (of("drain flow noise", "drain", |d| d.drain))
    }
}
