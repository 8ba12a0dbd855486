//! The intervals of a log as a table.

use tubtrace_units::Load;

use super::table::{Table, Values};
use crate::intervals::{Cycle, Interval, Kind, Settled};
use crate::trace::Trace;

/// All intervals of all cycles, a row for each.
#[must_use]
pub fn intervals(trace: &Trace, cycles: &[Cycle]) -> Table {
    let rows: Vec<(u32, &Interval)> =
        (1..).zip(cycles).flat_map(|(n, c)| c.intervals.iter().map(move |i| (n, i))).collect();
    let known = |i: &Interval| i.kind != Kind::Gap;
    let number =
        |of: &dyn Fn(&Interval) -> Option<f64>| Values::Number(rows.iter().map(|(_, i)| of(i)).collect());
    let measured = |of: fn(&Interval) -> f64| number(&|i| known(i).then(|| of(i)));
    let settled =
        |of: fn(&Interval) -> Option<Settled>, part: fn(Settled) -> f64| number(&|i| of(i).map(part));
    let mut table = Table::new("intervals", trace);
    table.column(
        "cycle",
        "",
        "number of the cycle, from 1",
        Values::Count(rows.iter().map(|r| r.0).collect()),
    );
    table.column("time", "", "when it begins", Values::Moment(rows.iter().map(|r| r.1.start).collect()));
    table.column("start_s", "s", "when it begins, from the first sample", number(&|i| Some(i.start.0)));
    table.column("lasts_s", "s", "how long it lasts", number(&|i| Some(i.duration().0)));
    table.column(
        "does",
        "",
        "what the machine does",
        Values::Word(rows.iter().map(|r| r.1.kind.word()).collect()),
    );
    table.column("loads", "", "the loads that run", Values::Loads(rows.iter().map(|r| r.1.loads).collect()));
    table.column("amps", "A", "median current", measured(|i| i.measured.amps.0));
    table.column(
        "watts",
        "W",
        "median power; apparent, where current was measured",
        measured(|i| i.measured.power.0),
    );
    table.column("certainty", "", "probability that these are the loads", measured(|i| i.certainty));
    table.column(
        "water",
        "",
        "which water it belongs to",
        Values::Count(rows.iter().map(|r| r.1.water).collect()),
    );
    table.column(
        "supply_c",
        "degC",
        "supply water at its end, the clip's lag taken out",
        settled(|i| i.measured.supply, |s| s.water.0),
    );
    table.column(
        "supply_u",
        "degC",
        "its expanded uncertainty, k = 2",
        settled(|i| i.measured.supply, |s| s.uncertainty.0),
    );
    table.column(
        "drain_c",
        "degC",
        "water in the drain hose at its end, likewise",
        settled(|i| i.measured.drain, |s| s.water.0),
    );
    table.column(
        "drain_u",
        "degC",
        "its expanded uncertainty, k = 2",
        settled(|i| i.measured.drain, |s| s.uncertainty.0),
    );
    for load in Load::ALL {
        let on = rows.iter().map(|(_, i)| known(i).then(|| i.loads.has(load))).collect();
        table.column(identifier(load), "", "whether it runs", Values::Flag(on));
    }
    table
}

/// The word of a load where hyphens are none of a name's letters.
pub(super) const fn identifier(load: Load) -> &'static str {
    match load {
        Load::Heater => "heater",
        Load::WashPump => "wash_pump",
        Load::DrainPump => "drain_pump",
        Load::FillValve => "fill_valve",
        Load::Dispenser => "dispenser",
        Load::Vent => "vent",
        Load::Fan => "fan",
    }
}
