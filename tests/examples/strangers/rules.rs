//! What each pass over the loads changes in the days of all machines, the healthy ones and those with faults.

use std::path::Path;

use rayon::prelude::*;
use strangers::kinds::Kind;
use tubtrace::loads::Draws;
use tubtrace_tests::rules::Rules;
use tubtrace_tests::second_world;

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
        let written =
            second_world::days(kind, seed, wanted.meter, &wanted.house, &folder.path().join(name), days);
        // The days in health before those with faults are the same once more.
        let skip = if name == "faulty" { healthy } else { 0 };
        for day in written.map_err(|e| e.to_string())?.iter().skip(skip) {
            rules.add(&of_day(day)?);
        }
    }
    Ok(rules)
}

/// Those of one day, second by second of its true cycles.
fn of_day(day: &Path) -> Result<Rules, String> {
    let (log, known) = second_world::known(day)?;
    Ok(Rules::of(&log.trace, &Draws::default(), &known))
}
