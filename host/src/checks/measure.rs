//! Measures of a run what all checks want to know, once.

use super::list::all;
use super::run::Run;
use crate::intervals::{Cycle, Signs};
use crate::trace::Noise;

/// What all checks measured of a run: measured when the first asks, and kept with its record.
pub(super) fn signs(cycle: &Cycle) -> &Signs {
    cycle.record.signs.get_or_init(|| {
        let Some(run) = Run::of_cycle(cycle) else { return Signs::default() };
        Signs {
            of: all().map(|check| (check.id, (check.measure)(&run))).collect(),
            quiet_hose: run.quiet_hose().map(Noise),
        }
    })
}
