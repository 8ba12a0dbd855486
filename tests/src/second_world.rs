//! Machines of the generator that knows nothing of the program, as days of a meter that reads each second.

use std::path::{Path, PathBuf};

use strangers::args::Args;
pub use strangers::kinds::KINDS;
use strangers::kinds::Kind;
use strangers::output;

/// Writes days of the machine of this kind and seed into a folder; after the healthy ones each may have any fault. Gives their files.
///
/// # Panics
/// When the folder cannot be written.
#[must_use]
pub fn days(kind: &Kind, seed: u64, folder: &Path, healthy: usize, faulty: usize) -> Vec<PathBuf> {
    let args = Args {
        kind: kind.name.to_owned(),
        seed,
        days: healthy + faulty,
        healthy_days: healthy,
        out: folder.join(kind.name),
        fault: (faulty > 0).then(|| "mixed".to_owned()),
        ..Args::default()
    };
    output::write(&args, &kind.machine(seed)).expect("a folder for temporary files can be written");
    (1..=args.days).map(|day| args.out.join(format!("day-{day:02}.csv"))).collect()
}
