//! What each pass over the loads changes in the days of all machines, the healthy ones and those with faults.

use std::path::Path;

use rayon::prelude::*;
use strangers::kinds::Kind;
use tubtrace::loads::Draws;
use tubtrace::log::{Assumptions, parse};
use tubtrace_tests::coverage::MAIN;
use tubtrace_tests::rules::{Known, Rules};
use tubtrace_tests::second_world::{self, truth};
use tubtrace_units::Loads;

use super::{HEALTHY_DAYS, Wanted};

/// Sums over all machines, whose files nobody has learned.
pub fn run(wanted: &Wanted) -> Result<Rules, String> {
    let machines: Vec<(&'static Kind, u64)> =
        wanted.kinds.iter().flat_map(|kind| wanted.seeds.clone().map(move |seed| (*kind, seed))).collect();
    let of = |&(kind, seed): &(&'static Kind, u64)| machine(wanted, kind, seed);
    let joined = |mut all: Rules, one: Rules| {
        all.add(&one);
        Ok(all)
    };
    machines.par_iter().map(of).try_reduce(Rules::default, joined)
}

fn machine(wanted: &Wanted, kind: &'static Kind, seed: u64) -> Result<Rules, String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let mut rules = Rules::default();
    for (name, healthy) in [("healthy", wanted.days), ("faulty", HEALTHY_DAYS.min(wanted.days))] {
        let days = (healthy, wanted.days - healthy);
        let written = second_world::days(kind, seed, wanted.meter, &folder.path().join(name), days);
        // The days in health before those with faults are the same once more.
        let skip = if days.1 > 0 { healthy } else { 0 };
        for day in written.map_err(|e| e.to_string())?.iter().skip(skip) {
            rules.add(&of_day(day)?);
        }
    }
    Ok(rules)
}

/// Those of one day, second by second of its true cycles.
fn of_day(day: &Path) -> Result<Rules, String> {
    let named = |e: &dyn std::fmt::Display| format!("{}: {e}", day.display());
    let bytes = std::fs::read(day).map_err(|e| named(&e))?;
    let log = parse(&bytes, Assumptions::default()).map_err(|e| named(&e))?;
    let truth = truth::read(day)?;
    let mut known = Vec::new();
    for cycle in &truth.cycles {
        for second in 0..(cycle.end - cycle.start).max(0.0) as usize {
            let at = cycle.start + second as f64 + 0.5;
            let on = truth.loads.iter().filter(|on| on.start <= at && at < on.end);
            known.push(Known { at, loads: on.fold(Loads::NONE, |all, on| all.with(MAIN[on.load], true)) });
        }
    }
    Ok(Rules::of(&log.trace, &Draws::default(), &known))
}
