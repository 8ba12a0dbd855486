//! Intervals: stretches in which the machine does one thing, gathered into cycles and measured.

mod constants;
mod cycle;
mod edge;
mod ends;
mod interval;
mod kind;
mod lag;
mod lost;
mod measure;
mod moment;
mod record;
mod rest;
mod run;
mod seen;
mod unseen;
mod water;

pub(crate) use constants::ALL as CONSTANTS;
pub(crate) use cycle::may_hide;
pub use cycle::{Cycle, Lacks, Seen};
pub use interval::{Edges, Interval, Measured};
pub use kind::Kind;
pub use lag::Settled;
pub use lost::too_much_lost;
pub use record::{Record, Sign, Signs};
use run::Run;
pub use seen::hidden_ends;
pub(crate) use water::of_water;
pub use water::{HeatedWater, filled, heated_waters};

use crate::loads::programmes::programmes;
use crate::loads::{Inferred, ScaledTrace};

/// Forms the cycles of a trace: runs that were seen and runs that were only heard, in order of time.
#[must_use]
pub fn cycles(scaled: &ScaledTrace, inferred: &Inferred) -> Vec<Cycle> {
    let seen = programmes(&inferred.spans, inferred.apart, scaled.trace.resolution)
        .into_iter()
        .map(|range| Run::Seen(&inferred.spans[range]));
    let mut runs: Vec<Run> = seen.chain(inferred.unseen.iter().map(Run::Unseen)).collect();
    runs.sort_by(|a, b| a.start().total_cmp(&b.start()));
    let cycle = |i: usize| match runs[i] {
        Run::Unseen(fills) => unseen::cycle(fills, &scaled.trace, inferred.levels.at(fills[0].0)),
        Run::Seen(spans) => {
            let before = runs[..i].iter().rev().find_map(Run::seen).map(|spans| spans[spans.len() - 1].end);
            let idle_from = match i.checked_sub(1).map(|before| &runs[before]) {
                // Noise between an unseen run and the next may be the rest of the unseen one.
                Some(Run::Unseen(_)) => None,
                _ => Some(before.unwrap_or_default()),
            };
            let until = runs.get(i + 1).map_or(scaled.trace.duration(), Run::start);
            let until = seen::known_until(&scaled.trace, spans[spans.len() - 1].end, until);
            seen::cycle(spans, idle_from, until, scaled, inferred)
        }
    };
    (0..runs.len()).map(cycle).collect()
}
