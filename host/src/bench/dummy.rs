//! A log of dummy loads: lamps and resistors move no water, so nothing is taken from the clips.

use crate::trace::{Steps, Trace};

/// The same log as a meter of current alone would have it: what was heard and felt is left out.
#[must_use]
pub fn without_water(trace: &Trace) -> Trace {
    let steps: Vec<_> = trace.steps.iter().collect();
    let (starts, powers) = steps.iter().map(|s| (s.start.0, s.power.0)).unzip();
    let parted = |i: usize| steps.get(i + 1).is_none_or(|next| next.start != steps[i].end);
    let ends = (0..steps.len()).filter(|i| parted(*i)).map(|i| (i as u32, steps[i].end.0)).collect();
    Trace {
        steps: Steps::of_columns(starts, powers, ends),
        temperatures: Vec::new(),
        fills: Vec::new(),
        ..trace.clone()
    }
}
