//! What readings can tell: each check has the shortest event that its evidence rests on, and an event shows its own level only
//! where a reading lies wholly within it.

use tubtrace_units::Seconds;

use super::constants::{READINGS, TYPICAL};
use super::context::Context;
use super::outside::Outside;
use crate::chart::{Chart, Expected};
use crate::constant::Constant;

/// The shortest event that a check's evidence rests on.
#[derive(Clone, Copy, Debug)]
pub enum Event {
    /// None: it rests on clips, on pickups, or on the run as a whole.
    Any,
    /// One that lasts as long as this constant says.
    Lasts(Constant<Seconds>),
    /// What was measured, and what comes and goes around it.
    Itself,
    /// The interval of the chart that it is found in.
    Interval,
    /// The shortest interval that must come. Where some of the programme cannot be seen, what can be seen is taken for something
    /// else, or is longer by it.
    Shortest,
}

/// Whether the trace is fine enough for the event that this rests on.
pub(super) fn shows(context: &Context, outside: &Outside) -> bool {
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
