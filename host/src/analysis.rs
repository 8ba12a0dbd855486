//! A log carried through from its readings to its cycles: the one way that commands, reports, the live view and tests take.

use crate::intervals::{self, Cycle};
use crate::loads::{self, Inferred, Part, ScaledTrace, parts};
use crate::parallel;
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
        let end = |part: &Part| trace.steps.get(part.steps.end.wrapping_sub(1)).map(|step| step.end);
        let all: Vec<usize> = (0..parts.len()).collect();
        let made = parallel::map(&all, |&i| {
            let mut own = trace.part(parts[i].steps.clone());
            let before = i.checked_sub(1).map(|i| &parts[i]);
            let torn = before.into_iter().chain([&parts[i]]).filter(|part| part.torn).filter_map(end);
            own.damaged.extend(torn.map(|at| (at, at)));
            Self::of_part(&own)
        });
        made.into_iter().reduce(Self::and).unwrap_or_else(|| Self::of_part(trace))
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
