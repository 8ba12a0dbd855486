//! What the machine is doing now, estimated from what was seen so far.

use tubtrace_units::{Loads, Seconds};

use crate::analysis::Analysis;
use crate::intervals::{Cycle, Kind};
use crate::loads::Draws;
use crate::log::{Assumptions, parse};
use crate::trace::Trace;

/// The cycles of a log that has only begun, and what the machine does at its end.
#[derive(Clone, Debug)]
pub struct Estimate {
    /// Everything that was seen.
    pub trace: Trace,
    /// The cycles so far; the last may still run.
    pub cycles: Vec<Cycle>,
    /// The loads that run now.
    pub loads: Loads,
    /// What the machine does now; `None` while no cycle runs.
    pub does: Option<Kind>,
    /// Since when, from the first window.
    pub since: Seconds,
    /// Probability that these are the loads.
    pub certainty: f64,
}

/// An interval that ended longer ago than this is over; one that ended since is taken to go on.
const NOW: Seconds = Seconds(1.0);

impl Estimate {
    /// Works a log that has only begun, of a machine of which this is known. `None` while there is nothing to work.
    #[must_use]
    pub fn of(log: &[u8], known: &Draws) -> Option<Self> {
        let trace = parse(log, Assumptions::default()).ok()?.trace;
        let Analysis { loads: inferred, cycles } = Analysis::of_known(&trace, known);
        let now = trace.duration();
        let last = cycles.last().and_then(|c| c.intervals.last()).filter(|i| now - i.end < NOW);
        // What has only begun makes no cycle yet.
        let begun = inferred.spans.last().filter(|s| now - s.end < NOW && s.loads() != Loads::NONE);
        let (loads, does, since, certainty) = match (last, begun) {
            (Some(i), _) => (i.loads, Some(i.kind), i.start, i.certainty),
            (None, Some(s)) => (s.loads(), None, s.start, s.certainty()),
            (None, None) => (Loads::NONE, None, cycles.last().map_or(Seconds(0.0), Cycle::end), 1.0),
        };
        Some(Self { trace, cycles, loads, does, since, certainty })
    }
}
