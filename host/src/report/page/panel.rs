//! One quantity of a picture: its curves, with what the chart allows drawn behind them.

use std::fmt::Write;

use maud::{Markup, html};
use tubtrace_units::Seconds;

use super::axis::Extent;
use super::curve::Stretch;
use super::scale::{HEIGHT, Scale, written};

/// A line of a panel.
pub(super) struct Curve {
    /// What it is, as it is read off.
    pub(super) name: &'static str,
    pub(super) unit: &'static str,
    /// Its name on the page; empty where nothing refers to it.
    pub(super) id: String,
    pub(super) stretches: Vec<Stretch>,
}

/// What the chart allows for a while.
pub(super) struct Allowed {
    pub(super) from: Seconds,
    pub(super) to: Seconds,
    /// The least and the most.
    pub(super) low: f64,
    pub(super) high: f64,
}

/// How tall a panel is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Height {
    Tall,
    Middle,
    Low,
}

impl Height {
    /// Its class, and the part of its height that numbers keep apart.
    const fn look(self) -> (&'static str, f64) {
        match self {
            Self::Tall => ("tall", 0.13),
            Self::Middle => ("middle", 0.17),
            Self::Low => ("low", 0.3),
        }
    }
}

/// A panel with its name, its scale, what is allowed, and its curves; curves after the first are dashed.
pub(super) fn panel(
    name: &Markup,
    tall: Height,
    scale: Scale,
    allowed: &[Allowed],
    curves: &[Curve],
    span: Extent,
) -> Markup {
    let (class, apart) = tall.look();
    let ticks = scale.ticks(apart);
    html! {
        div class={ "panel " (class) } {
            svg viewBox=(view_box(span)) preserveAspectRatio="none" aria-hidden="true" {
                @for a in allowed.iter().filter(|a| span.touches(a.from, a.to)) { (rectangle(a, scale, span)) }
                @for tick in &ticks {
                    path.grid d=(format!("M0 {:.0}h{}", scale.height(*tick), span.tenths(span.to))) {}
                }
                @for (i, curve) in curves.iter().enumerate() {
                    path class={ "curve c" (i) } id=[(!curve.id.is_empty()).then_some(&curve.id)] d=(path(&curve.stretches, scale, span))
                        data-name=(curve.name) data-unit=(curve.unit)
                        data-low=(scale.low) data-high=(scale.high) data-shape=(scale.shape.word()) {}
                }
            }
            span.name { (name) }
            @for tick in &ticks {
                span.tick style=(format!("top:{:.1}%", scale.height(*tick) / HEIGHT * 100.0)) {
                    (written(*tick))
                }
            }
        }
    }
}

/// The coordinates of a panel: tenths of a second, and thousandths of its height.
pub(super) fn view_box(span: Extent) -> String {
    format!("0 0 {} {HEIGHT}", span.tenths(span.to).max(1))
}

fn rectangle(allowed: &Allowed, scale: Scale, span: Extent) -> Markup {
    let (x, right) = (span.tenths(allowed.from.max(span.from)), span.tenths(allowed.to.min(span.to)));
    let (top, bottom) = (scale.height(allowed.high), scale.height(allowed.low));
    html! {
        rect.allowed x=(x) width=((right - x).max(0)) y=(format!("{top:.0}"))
            height=(format!("{:.0}", (bottom - top).max(8.0))) {}
    }
}

/// Steps: right for as long as a value holds, then up or down to the next; a new beginning after each gap.
fn path(stretches: &[Stretch], scale: Scale, span: Extent) -> String {
    let mut d = String::new();
    for stretch in stretches {
        let Some(&(start, value)) = stretch.points.first() else { continue };
        let height = |value: f64| scale.height(value).round() as i64;
        let (mut x, mut y) = (span.tenths(start), height(value));
        let _ = write!(d, "M{x} {y}");
        for &(at, value) in &stretch.points[1..] {
            let (to, level) = (span.tenths(at), height(value));
            // What does not show is no point.
            if level != y {
                let _ = write!(d, "h{}v{}", to - x, level - y);
                (x, y) = (to, level);
            }
        }
        let _ = write!(d, "h{}", span.tenths(stretch.end) - x);
    }
    d
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gap_begins_a_line_anew() {
        let span = Extent { from: Seconds(10.0), to: Seconds(20.0) };
        let scale = Scale { low: 0.0, high: 10.0, shape: super::super::scale::Shape::Line };
        let stretch = |points: &[(f64, f64)], end: f64| Stretch {
            points: points.iter().map(|p| (Seconds(p.0), p.1)).collect(),
            end: Seconds(end),
        };
        let both = [stretch(&[(10.0, 0.0), (12.0, 5.0)], 13.0), stretch(&[(15.5, 10.0)], 16.0)];
        assert_eq!(path(&both, scale, span), "M0 1000h20v-500h10M55 0h5");
    }
}
