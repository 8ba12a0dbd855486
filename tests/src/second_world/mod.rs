//! Machines of the generator that knows nothing of the program, as days of a meter.

pub mod truth;

use std::io;
use std::path::{Path, PathBuf};

use strangers::args::Args;
use strangers::fault::FAULTS;
pub use strangers::kinds::KINDS;
use strangers::kinds::Kind;
use strangers::meter::Meter;
use strangers::output;

/// Writes days of the machine of this kind and seed into a folder; after the healthy ones each may have any fault. Gives their files.
///
/// # Errors
/// When the folder cannot be written.
pub fn days(
    kind: &Kind,
    seed: u64,
    meter: Meter,
    folder: &Path,
    (healthy, faulty): (usize, usize),
) -> io::Result<Vec<PathBuf>> {
    let args = Args {
        kind: kind.name.to_owned(),
        seed,
        days: healthy + faulty,
        healthy_days: healthy,
        meter,
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
