//! `tubtrace learn`.

use std::path::{Path, PathBuf};

use clap::Args;
use tubtrace_units::Seconds;

use super::outcome::{Done, Failure};
use super::streams::say;
use super::worked::{About, Worked};
use super::writing::Writing;
use crate::chart::to_toml;
use crate::intervals::Cycle;
use crate::learn::{add, draws, learn};
use crate::report::clock_time;

/// What is read by levels shows levels: so often.
const ROUNDS: usize = 2;

/// Learns a machine from known-good cycles of any of its programmes, in any order.
///
/// Which programmes there are is found by itself. What all cycles of one do is required, what some do may come, and limits are as wide as
/// so few cycles make them. The machine file is text: read it, name the programmes, and change what you know better.
#[derive(Args)]
#[command(after_help = "Example:\n  tubtrace learn good1.tub good2.tub good3.tub -o dishwasher.machine.toml")]
pub(super) struct Learn {
    /// Logs with good cycles.
    #[arg(required = true)]
    logs: Vec<PathBuf>,
    /// Where the machine file goes; - is standard output.
    #[arg(short, long, value_name = "MACHINE")]
    output: PathBuf,
    /// A machine file or a chart into which these cycles are taken, for -o to write: limits become wider where they must, and new programmes
    /// are added. What departs gravely from it is left out, and named.
    #[arg(long, value_name = "MACHINE")]
    add: Option<PathBuf>,
    /// What the machine is called.
    #[arg(long, default_value = "learned", conflicts_with = "add")]
    name: String,
    #[command(flatten)]
    writing: Writing,
    #[command(flatten)]
    about: About,
}

impl Learn {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let inputs: Vec<&Path> = self.logs.iter().chain(&self.add).map(PathBuf::as_path).collect();
        let place = self.writing.place(&self.output, &inputs)?;
        let known = self.add.as_deref().map(crate::chart::read).transpose()?;
        let logs: Vec<&Path> = self.logs.iter().map(|log| &**log).collect();
        let worked = Worked::read_all(&logs, &self.about)?;
        self.logs.iter().zip(&worked).try_for_each(|(path, worked)| worked.judgeable(path))?;
        // What loads draw is the machine's, and no log's: what most cycles say of it holds for all of them.
        let given = known.as_ref().map(|machine| &machine.draws).filter(|draws| draws.tell_loads());
        let (mut worked, mut levels) = (worked, given.cloned().unwrap_or_default());
        for _ in 0..ROUNDS {
            let all: Vec<&Cycle> = worked.iter().flat_map(|w| &w.cycles).collect();
            if given.is_none() {
                levels = draws(&all);
            }
            worked = Worked::again(worked, &levels);
        }
        let resolution = worked.iter().map(|w| w.log.trace.resolution).fold(Seconds(0.0), Seconds::max);
        let cycles: Vec<(usize, &Cycle)> =
            worked.iter().enumerate().flat_map(|(i, w)| w.cycles.iter().map(move |c| (i, c))).collect();
        let only: Vec<&Cycle> = cycles.iter().map(|(_, c)| *c).collect();
        let learned = match known {
            Some(machine) => add(machine, &only, resolution)?,
            None => {
                let mut learned = learn(&only, &self.name, resolution)?;
                // Its programmes are those of cycles that were read by these.
                learned.machine.draws = levels;
                learned
            }
        };
        for (index, why) in &learned.left_out {
            let (log, cycle) = cycles[*index];
            let at = clock_time(&worked[log].log.trace, cycle.start());
            say(&format!("{}: the cycle at {at} is left out: {why}", self.logs[log].display()));
        }
        for odd in &learned.set_aside {
            say(&format!(
                "{}: {odd} was unlike the others: ignored when setting limits",
                self.output.display()
            ));
        }
        place.write_all(to_toml(&learned.machine).as_bytes())?;
        let used = learned.used.len();
        for programme in &learned.machine.programmes {
            let caution =
                if programme.seen < 3 { "; its limits are wide, more cycles narrow them" } else { "" };
            let cycles = if programme.seen == 1 {
                "one cycle".to_owned()
            } else {
                format!("{} cycles", programme.seen)
            };
            say(&format!("{}: {} from {cycles}{caution}", self.output.display(), programme.name));
        }
        say(&format!("{}: learned from {used} of {} cycles", self.output.display(), cycles.len()));
        Ok(Done::Well)
    }
}
