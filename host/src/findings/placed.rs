//! Where the chart's intervals were found in a cycle: what a picture or a comparison of cycles is made of.

use tubtrace_units::Seconds;

use crate::alignment::{Place, Step, lasted};
use crate::chart::{Expected, Limits, Machine};
use crate::checks::{Context, Surroundings};
use crate::intervals::Cycle;
use crate::programme::{for_readings, recognise};

/// An interval of the chart, where it was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// What the chart has; its name says which time its part came.
    pub expected: Expected,
    /// When it begins, from the first sample of the log.
    pub start: Seconds,
    /// When it ends, from the first sample of the log.
    pub end: Seconds,
    /// How long it lasted, pauses left out.
    pub lasted: Seconds,
}

/// The programme of its machine that a cycle is of, as an index, and where the intervals of it were found; none where it is of no programme that is
/// known. Nothing is judged.
#[must_use]
pub fn place(machine: &Machine, cycle: &Cycle) -> Option<(usize, Vec<Placed>)> {
    let machine = &*for_readings(machine, cycle.resolution);
    let recognised = recognise(machine, cycle);
    let surroundings =
        Surroundings { resolution: cycle.resolution, quiet_supply: None, battery_ended: false, plate: None };
    let chart = &machine.programmes[recognised.programme];
    let context = Context::new(chart, cycle, &recognised.explanation, surroundings);
    recognised.is_known().then(|| (recognised.programme, placed(&context)))
}

/// The intervals of the chart that were found, in order of time. Washing that no heat parts stands for several: its limits are
/// the sum of theirs.
pub(super) fn placed(context: &Context) -> Vec<Placed> {
    let phases = |range: &std::ops::Range<usize>| &context.explanation.phases[range.clone()];
    context
        .explanation
        .steps
        .iter()
        .filter_map(|step| match step {
            Step::Matched { place, phases: range } => {
                let expected = Expected { name: context.name(*place), ..context.expected(*place).clone() };
                placed_at(expected, phases(range))
            }
            Step::Unheated { place, count, phases: range } => {
                placed_at(together(context, *place, *count), phases(range))
            }
            Step::Missing { .. } | Step::Extra { .. } => None,
        })
        .collect()
}

fn placed_at(expected: Expected, phases: &[crate::alignment::Phase]) -> Option<Placed> {
    let (first, last) = phases.first().zip(phases.last())?;
    let (lasted, _) = lasted(expected.kind, phases);
    Some(Placed { expected, start: first.start, end: last.end, lasted })
}

/// Several intervals of a part as one: what it draws is that of the first, and nothing is heated.
fn together(context: &Context, place: Place, count: usize) -> Expected {
    let places = (0..count).map(|i| Place { interval: place.interval + i, ..place });
    let mut names = Vec::new();
    let mut lasts = Some(Limits { low: Seconds(0.0), high: Seconds(0.0) });
    for place in places {
        names.push(context.name(place));
        let one = context.expected(place).lasts;
        lasts = lasts.zip(one).map(|(all, one)| all + one);
    }
    Expected { name: names.join(" + "), lasts, until: None, ..context.expected(place).clone() }
}
