//! Machines of the generator that knows nothing of the program, as days of a meter.

pub mod truth;

use std::io;
use std::path::{Path, PathBuf};

use strangers::args::Args;
use strangers::fault::FAULTS;
pub use strangers::house::Guest;
pub use strangers::kinds::KINDS;
use strangers::kinds::Kind;
use strangers::meter::Meter;
use strangers::output;
use tubtrace::log::{Assumptions, Log, parse};
use tubtrace_units::Loads;

use crate::coverage::MAIN;
use crate::rules::Known;

/// Writes days of the machine of this kind and seed into a folder, with what else is on its meter; after the healthy ones each may have any fault. Gives
/// their files.
///
/// # Errors
/// When the folder cannot be written.
pub fn days(
    kind: &Kind,
    seed: u64,
    meter: Meter,
    house: &[Guest],
    folder: &Path,
    (healthy, faulty): (usize, usize),
) -> io::Result<Vec<PathBuf>> {
    let args = Args {
        kind: kind.name.to_owned(),
        seed,
        days: healthy + faulty,
        healthy_days: healthy,
        meter,
        house: house.to_vec(),
        out: folder.join(kind.name),
        fault: (faulty > 0).then(|| "mixed".to_owned()),
        ..Args::default()
    };
    output::write(&args, &kind.machine(seed))?;
    Ok((1..=args.days).map(|day| args.out.join(format!("day-{day:02}.csv"))).collect())
}

/// The names of all faults that a machine of it can have.
pub fn faults() -> impl Iterator<Item = &'static str> {
    FAULTS.iter().map(|(name, _)| *name)
}

/// Writes one day of the machine of this kind and seed into a folder, with a fault, as plain as it can be, or without. Gives its file.
///
/// # Errors
/// When the folder cannot be written.
pub fn day(kind: &Kind, seed: u64, meter: Meter, folder: &Path, fault: Option<&str>) -> io::Result<PathBuf> {
    let args = Args {
        kind: kind.name.to_owned(),
        seed,
        meter,
        out: folder.to_owned(),
        fault: fault.map(str::to_owned),
        severity: Some(1.0),
        ..Args::default()
    };
    output::write(&args, &kind.machine(seed))?;
    Ok(args.out.join("day-01.csv"))
}

/// The log of a day, and each second of its true cycles with the main loads that ran.
///
/// # Errors
/// A sentence with the file that cannot be read.
pub fn known(day: &Path) -> Result<(Log, Vec<Known>), String> {
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
    Ok((log, known))
}
