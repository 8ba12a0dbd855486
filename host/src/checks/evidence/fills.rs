//! Fills by current that are not heard in the supply line.

use tubtrace_units::{Load, Seconds};

use crate::checks::context::Context;
use crate::checks::run::Run;
use crate::constant::constants;
use crate::intervals::{Interval, Kind, Sign};
use crate::quantity::Quantity;

constants! { "checks.evidence.fills":
    /// Something small that is on for no longer than this is nobody's fill.
    A_FILL: Seconds = Seconds(25.0), "s", Guess;
}

/// Fills by current: the level in the supply line over that from which on it flows.
pub(in crate::checks) fn heard(run: &Run) -> Vec<Sign> {
    let level = |fill: &Interval| {
        let threshold = run.levels.flow?.supply.0;
        let level = fill.measured.supply_noise?.0;
        Some(Sign::new(fill.start, Quantity::Part(level / threshold)))
    };
    run.of(&[Kind::Fill]).filter_map(level).collect()
}

/// The intervals in which something small is on that may be the fill valve, and no water is heard; `fills` are the levels of
/// [`heard`]. None where there are no pickups.
pub(in crate::checks) fn unheard<'a>(context: &Context<'a>, fills: &[Sign]) -> Vec<(usize, &'a Interval)> {
    let heard = |i: &Interval| fills.iter().any(|s| s.at == i.start && s.value.number() >= 1.0);
    // A vent in a run that fills nowhere is taken for a valve; of a run that the log cuts nobody knows that it fills nowhere.
    let whole_run = context.cycle.lacks().is_none();
    let vents = |i: &Interval| whole_run && i.kind == Kind::Dry && !i.loads.has(Load::Heater);
    // What the log cuts may have been heard before.
    let whole = |i: &Interval| i.duration() > A_FILL.get() && !context.cycle.cuts(i.start, i.end);
    let small = |i: &Interval| whole(i) && (vents(i) || (i.kind == Kind::Fill && !heard(i)));
    let all = context.cycle.intervals.iter().enumerate();
    if context.hears_flow() { all.filter(|(_, i)| small(i)).collect() } else { Vec::new() }
}
