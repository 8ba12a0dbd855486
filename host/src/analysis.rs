//! A log carried through from its readings to its cycles: the one way that commands, reports, the live view and tests take.

use tubtrace_units::Seconds;

use crate::intervals::{self, Cycle};
use crate::loads::{self, Draws, Inferred, Part, ScaledTrace, parts};
use crate::trace::Trace;

/// What is inferred from a trace, whole when it is made.
#[derive(Clone, Debug)]
pub struct Analysis {
    /// Which loads ran when, and what each of them draws.
    pub loads: Inferred,
    /// The runs of the machine, in order of time.
    pub cycles: Vec<Cycle>,
}

impl Analysis {
    /// Infers loads and cycles from a trace. An empty trace has none. What is long and unsteady is worked in parts, each like a log by itself.
    #[must_use]
    pub fn of(trace: &Trace) -> Self {
        Self::of_known(trace, &Draws::default())
    }

    /// Likewise of a machine of which it is known what its loads draw.
    #[must_use]
    pub fn of_known(trace: &Trace, known: &Draws) -> Self {
        let parts = parts(trace);
        if let [_] = parts[..] {
            return Self::of_part(trace, known);
        }
        let mut torn = None;
        let of = |part: &Part| {
            let mut own = trace.part(part.steps.clone());
            let end = part.torn.then_some(own.duration());
            own.damaged.extend(torn.into_iter().chain(end).map(|at| (at, at)));
            torn = end;
            (own.steps.get(0).map_or_else(Default::default, |s| s.start), Self::of_part(&own, known))
        };
        let all = parts.iter().map(of).reduce(|(from, all), (at, next)| (from, all.and(at, next)));
        all.map_or_else(|| Self::of_part(trace, known), |(_, all)| all)
    }

    fn of_part(trace: &Trace, known: &Draws) -> Self {
        let scaled = ScaledTrace::of(trace);
        let loads = loads::infer_known(&scaled, known);
        let cycles = intervals::cycles(&scaled, &loads);
        Self { loads, cycles }
    }

    /// With that of the part behind it, which begins at `from`.
    fn and(mut self, from: Seconds, next: Self) -> Self {
        self.loads.levels = self.loads.levels.then(from, next.loads.levels);
        self.loads.spans.extend(next.loads.spans);
        self.loads.unseen.extend(next.loads.unseen);
        self.cycles.extend(next.cycles);
        self
    }
}
