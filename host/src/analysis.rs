//! A log carried through from its readings to its cycles: the one way that commands, reports, the live view and tests take.

use crate::intervals::{self, Cycle};
use crate::loads::{self, Inferred, ScaledTrace};
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
    /// Infers loads and cycles from a trace. An empty trace has none.
    #[must_use]
    pub fn of(trace: &Trace) -> Self {
        let scaled = ScaledTrace::of(trace);
        let loads = loads::infer(&scaled);
        let cycles = intervals::cycles(&scaled, &loads);
        Self { loads, cycles }
    }
}
