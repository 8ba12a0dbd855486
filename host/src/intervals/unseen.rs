//! Runs that were heard and not seen, as cycles: fills, and nothing known between them.

use tubtrace_units::{Load, Loads, Seconds};

use super::constants::{FAINT, FAINT_FOR, UNSEEN_CERTAINTY};
use super::cycle::{Cycle, Seen};
use super::interval::{Interval, Measured};
use super::kind::Kind;
use crate::loads::{Posterior, Signatures};
use crate::trace::{Step, Trace};

/// Whether some of the heater's current is seen: a clamp around both conductors still sees a hundredth of it, for they are not in the
/// same place.
fn is_faint(run: &[(Seconds, Seconds)], trace: &Trace, signatures: &Signatures) -> bool {
    let (start, end) = (run[0].0, run[run.len() - 1].1);
    let drawn = |s: &Step| s.power.0 > signatures.standby.0 + FAINT.get();
    let faint: Seconds = trace.between(start, end).filter(drawn).map(|s| s.duration()).sum();
    faint > FAINT_FOR.get()
}

/// The run as a cycle: its fills, and gaps between them.
pub(super) fn cycle(run: &[(Seconds, Seconds)], trace: &Trace, signatures: &Signatures) -> Cycle {
    let mut intervals: Vec<Interval> = Vec::new();
    for (i, &(start, end)) in run.iter().enumerate() {
        let water = i as u32 + 1;
        let of = |kind, loads, start, end| Interval {
            kind,
            loads,
            start,
            end,
            certainty: UNSEEN_CERTAINTY.get(),
            states: Posterior::default(),
            water,
            measured: Measured::default(),
        };
        if let Some(last) = intervals.last() {
            intervals.push(of(Kind::Gap, Loads::NONE, last.end, start));
        }
        intervals.push(of(Kind::Fill, Loads::of(&[Load::FillValve]), start, end));
    }
    Cycle {
        intervals,
        cut_at_start: false,
        cut_at_end: false,
        seen: if is_faint(run, trace, signatures) { Seen::Faintly } else { Seen::Never },
        idle_supply_noise: None,
        resolution: trace.resolution,
        record: Default::default(),
    }
}
