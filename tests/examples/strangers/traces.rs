//! Recordings that somebody else made or modelled, in a folder: `NAME_DAY.csv`, with what is known of each beside it, `NAME_DAY.truth.jsonl`, as the
//! generator writes it (`tests/strangers/README.md`). A line `{"type": "compared", "loads": [...]}` says of which loads a truth tells. The tables
//! are those of the second world; what cannot be compared is said.

use std::path::{Path, PathBuf};

use rayon::prelude::*;
use tubtrace_tests::program::cycles;
use tubtrace_tests::real::readings::{Machine, machines};
use tubtrace_tests::second_world::truth;

use super::figures::Sums;
use super::{Days, in_health, print};

/// Watt-hours of true cycles, as they are stated and as they were.
#[derive(Clone, Copy)]
struct Energy {
    stated: f64,
    really: f64,
}

/// The tables of all recordings of a folder.
pub fn run(folder: &Path, tell: bool) -> Result<Sums, String> {
    let found = machines(folder)?;
    if found.is_empty() {
        return Err(format!("{} has no recording, NAME_DAY.csv", folder.display()));
    }
    let all = found.par_iter().map(|of| machine(of, tell)).collect::<Result<Vec<_>, _>>()?;
    let names: Vec<&str> = found.iter().map(|m| m.name.as_str()).collect();
    let (sums, energy): (Vec<Sums>, Vec<Energy>) = all.into_iter().unzip();
    let all = print(&names, &sums);
    println!("\n| | energy of true cycles, stated | really |\n|---|---|---|");
    for (name, Energy { stated, really }) in names.iter().zip(energy) {
        println!("| {name} | {:.2} kWh | {:.2} kWh |", stated * 1e-3, really * 1e-3);
    }
    println!("\n{}", compared(&found)?);
    Ok(all)
}

/// One machine: its days, all taken to be healthy.
fn machine(of: &Machine, tell: bool) -> Result<(Sums, Energy), String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let file = folder.path().join("X.machine.toml");
    let mut sums = Sums::of_a_machine();
    let days: Vec<PathBuf> = of.days.iter().map(|day| day.path.clone()).collect();
    let apart = of.days[0].resolution();
    in_health(&Days { name: &of.name, days: &days, apart }, &file, tell, &mut sums)?;
    let mut energy = Energy { stated: 0.0, really: 0.0 };
    for day in &days {
        let (truth, found) = (truth::read(day)?, cycles(day)?);
        for cycle in &truth.cycles {
            let lasts = |from: f64, to: f64| (to.min(cycle.end) - from.max(cycle.start)).max(0.0) / 3_600.0;
            energy.stated += found.iter().flatten().map(|i| i.watts * lasts(i.start, i.end)).sum::<f64>();
            energy.really += truth.watts(cycle.start, cycle.end) * lasts(cycle.start, cycle.end);
        }
    }
    Ok((sums, energy))
}

/// What the truths tell of, and what this means for the tables.
fn compared(machines: &[Machine]) -> Result<String, String> {
    let mut loads: Vec<&str> = Vec::new();
    for day in machines.iter().flat_map(|m| &m.days) {
        loads.extend(truth::read(&day.path)?.tells.iter().map(|load| load.word()));
    }
    loads.sort_unstable();
    loads.dedup();
    Ok(format!(
        "compared are cycles, energy and: {}. No other load is known of these recordings, so none counts as right or wrong; \
         what is stated of a second is how sure the program is of all loads at once, which is no more than how sure it is of these",
        loads.join(", ")
    ))
}
