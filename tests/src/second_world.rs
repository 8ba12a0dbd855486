//! Machines of the generator that knows nothing of the program, as days of a meter.

use std::io;
use std::path::{Path, PathBuf};

use strangers::args::Args;
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
