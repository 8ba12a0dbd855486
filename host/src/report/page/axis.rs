//! Time in a picture: from when to when, and where in it something stands.

use maud::{Markup, html};
use tubtrace_units::Seconds;

use super::super::words::clock_time;
use super::scale::time_step;
use crate::trace::Trace;

/// The time that a picture covers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extent {
    pub(super) from: Seconds,
    pub(super) to: Seconds,
}

/// Widths of a curve in a second: tenths, like windows.
pub(super) const PER_SECOND: f64 = 10.0;

impl Extent {
    pub(super) fn length(&self) -> Seconds {
        self.to - self.from
    }

    /// Tenths of a second from its beginning.
    pub(super) fn tenths(&self, at: Seconds) -> i64 {
        ((at - self.from).0 * PER_SECOND).round() as i64
    }

    /// Part of its width, in hundredths.
    fn percent(&self, at: Seconds) -> f64 {
        ((at - self.from) / self.length() * 100.0).clamp(0.0, 100.0)
    }

    /// Where a moment stands, likewise.
    pub(super) fn mark(&self, at: Seconds) -> Place {
        let tenths = self.tenths(at);
        Place { a: tenths, b: tenths, style: format!("left:{:.3}%", self.percent(at)) }
    }

    /// Whether any of `from..to` is in it.
    pub(super) fn touches(&self, from: Seconds, to: Seconds) -> bool {
        from < self.to && to > self.from
    }

    /// The place of what lasts from `from` to `to`: for the style, and for the script that zooms.
    pub(super) fn place(&self, from: Seconds, to: Seconds) -> Place {
        let (left, right) = (self.percent(from), self.percent(to));
        Place {
            a: self.tenths(from.max(self.from)),
            b: self.tenths(to.min(self.to)),
            style: format!("left:{left:.3}%;width:{:.3}%", right - left),
        }
    }

    /// The times that are written below a picture.
    pub(super) fn ticks(&self, trace: &Trace) -> Markup {
        let step = time_step(self.length().0);
        // On the hour where there is a clock.
        let day = trace.clock.and_then(|c| c.local(self.from));
        let into_day = day.map_or(self.from.0, |d| {
            let t = d.time();
            f64::from(t.hour()) * 3_600.0 + f64::from(t.minute()) * 60.0 + f64::from(t.second())
        });
        let first = (into_day / step).ceil() * step - into_day;
        let times = (0..10).map(|i| self.from + Seconds(first + step * f64::from(i)));
        html! {
            div.times aria-hidden="true" data-day=(format!("{into_day:.1}")) {
                @for at in times.take_while(|at| *at <= self.to) {
                    span style=(format!("left:{:.3}%", self.percent(at))) { (clock_time(trace, at)) }
                }
            }
        }
    }
}

/// Where something stands in a picture.
pub(super) struct Place {
    /// From and to, tenths of a second from its beginning.
    pub(super) a: i64,
    pub(super) b: i64,
    /// Where it stands and how wide it is, as CSS in parts of the whole width.
    pub(super) style: String,
}
