//! A log carried through from its readings to its cycles: the one way that commands, reports, the live view and tests take.

use crate::intervals::{self, Cycle};
use crate::loads::{self, Inferred, Part, ScaledTrace, parts};
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
        let parts = parts(trace);
        if let [_] = parts[..] {
            return Self::of_part(trace);
        }
        let mut torn = None;
        let of = |part: &Part| {
            let mut own = trace.part(part.steps.clone());
            let end = part.torn.then_some(own.duration());
            own.damaged.extend(torn.into_iter().chain(end).map(|at| (at, at)));
            torn = end;
            Self::of_part(&own)
        };
        parts.iter().map(of).reduce(Self::and).unwrap_or_else(|| Self::of_part(trace))
    }

    fn of_part(trace: &Trace) -> Self {
        let scaled = ScaledTrace::of(trace);
        let loads = loads::infer(&scaled);
        let cycles = intervals::cycles(&scaled, &loads);
        Self { loads, cycles }
    }

    /// With that of the part behind it. What each load draws is that of the part of most cycles.
    fn and(mut self, next: Self) -> Self {
        if next.cycles.len() > self.cycles.len() {
            self.loads.signatures = next.loads.signatures;
        }
        self.loads.spans.extend(next.loads.spans);
        self.loads.unseen.extend(next.loads.unseen);
        self.cycles.extend(next.cycles);
        self
    }
}
