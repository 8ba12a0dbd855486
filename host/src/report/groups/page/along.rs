//! The currents of two groups along a programme, upon each other.

use std::fmt::Write;

use maud::{Markup, html};
use tubtrace_units::Seconds;

use super::super::super::page::{HEIGHT, Scale, written};
use super::super::super::words::lasts;
use crate::compare::{Comparison, Curves, Point};

/// The width of the picture in its own units.
const WIDTH: f64 = 1_000.0;

/// A part of the picture: from and to, and what is there.
type Part = (f64, f64, Point);

/// The curves of a programme.
pub(super) fn along(of: &Comparison, curves: &Curves) -> Markup {
    let whole: Seconds = curves.stretches.iter().map(|s| s.lasts).sum();
    let mut at = 0.0;
    let mut parts: Vec<Part> = Vec::new();
    let mut bands: Vec<(f64, f64, String, String)> = Vec::new();
    for stretch in &curves.stretches {
        let wide = WIDTH * (stretch.lasts / whole);
        let each = wide / stretch.points.len() as f64;
        parts.extend((0..).zip(&stretch.points).map(|(n, p)| {
            let from = at + each * f64::from(n);
            (from, from + each, *p)
        }));
        bands.push((at / 10.0, wide / 10.0, stretch.kind.to_string(), stretch.name.clone()));
        at += wide;
    }
    let top = |p: &Part| p.2.middles[0].max(p.2.middles[1] + p.2.within.unwrap_or(0.0));
    let scale = Scale::root(parts.iter().map(top).fold(0.0, f64::max));
    let part: Vec<&str> =
        curves.stretches.iter().filter(|s| s.points.iter().any(|p| p.differs)).map(|s| &*s.name).collect();
    let programme = of.programmes.get(curves.programme).map_or("", |p| &p.0);
    html! {
        figure {
            @if !programme.is_empty() { h3 { (programme) } }
            div.along {
                div.panel.bands {
                    @for (left, wide, kind, name) in &bands {
                        span class={ "band k-" (kind) } title=(name) style=(format!("left:{left:.2}%;width:{wide:.2}%")) { span { b { (kind) } } }
                    }
                }
                div.panel.tall {
                    svg viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) preserveAspectRatio="none" aria-hidden="true" {
                        path.together d=(bound(&parts, scale)) {}
                        path.curve d=(line(&parts, scale, 0)) {}
                        path.curve.c1 d=(line(&parts, scale, 1)) {}
                    }
                    @for value in scale.ticks(0.16) {
                        span.tick style=(format!("top:{:.1}%", 100.0 * scale.height(value) / HEIGHT)) { (written(value)) " A" }
                    }
                }
                div.panel.apart { svg viewBox=(format!("0 0 {WIDTH} 10")) preserveAspectRatio="none" aria-hidden="true" { path d=(differing(&parts)) {} } }
            }
            figcaption {
                "A drawn through, B dashed, over " (lasts(whole)) ", in amperes on a square-root scale. "
                @if parts.iter().all(|(.., p)| p.within.is_none()) { "So few cannot tell whether they part." }
                @else if part.is_empty() { "Nowhere is it shown that they part." } @else { "They part, where the bar below is black, in: " (part.join(", ")) "." }
            }
        }
    }
}

/// The median of a group.
fn line(parts: &[Part], scale: Scale, group: usize) -> String {
    let mut d = String::new();
    for (n, (from, to, point)) in parts.iter().enumerate() {
        let y = scale.height(point.middles[group]);
        let _ = match n {
            0 => write!(d, "M{from:.1} {y:.0}H{to:.1}"),
            _ => write!(d, "V{y:.0}H{to:.1}"),
        };
    }
    d
}

/// Where the first group would be about the second, were they alike.
fn bound(parts: &[Part], scale: Scale) -> String {
    let mut d = String::new();
    for (from, to, point) in parts {
        if let Some(within) = point.within {
            let [low, high] =
                [point.middles[1] - within, point.middles[1] + within].map(|v| scale.height(v.max(0.0)));
            let _ = write!(d, "M{from:.1} {high:.0}H{to:.1}V{low:.0}H{from:.1}z");
        }
    }
    d
}

fn differing(parts: &[Part]) -> String {
    let differ = parts.iter().filter(|(.., p)| p.differs);
    differ.map(|(from, to, _)| format!("M{from:.1} 0H{to:.1}V10H{from:.1}z")).collect()
}
