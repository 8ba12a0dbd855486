//! `tubtrace learn`.

use std::path::{Path, PathBuf};

use clap::Args;

use super::outcome::{Done, Failure};
use super::streams::say;
use super::worked::{About, judgeable, read_logs};
use super::writing::Writing;
use crate::chart::{is_of_few, to_toml};
use crate::compare::faulty;
use crate::findings::Finding;
use crate::intervals::Cycle;
use crate::learn::{Nights, Odd, add, odd};
use crate::report::{clock_time, of_cycles};
use crate::trace::Trace;

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
    /// Takes cycles that look faulty too, such as one whose water stays cold: else they are left out, and named.
    #[arg(long, conflicts_with = "add")]
    all: bool,
    /// What the machine is called; by default as its file.
    #[arg(long, conflicts_with = "add")]
    name: Option<String>,
    #[command(flatten)]
    writing: Writing,
    #[command(flatten)]
    about: About,
}

impl Learn {
    /// What the machine is called.
    fn name(&self) -> String {
        let of_file = || self.output.file_stem().filter(|_| self.output != Path::new("-"));
        let named = self.name.clone().or_else(|| of_file().map(|stem| stem.to_string_lossy().into_owned()));
        named.unwrap_or_else(|| "machine".to_owned())
    }

    pub(super) fn run(self) -> Result<Done, Failure> {
        let inputs: Vec<&Path> = self.logs.iter().chain(&self.add).map(PathBuf::as_path).collect();
        let place = self.writing.place(&self.output, &inputs)?;
        let known = self.add.as_deref().map(crate::chart::read).transpose()?;
        let logs: Vec<&Path> = self.logs.iter().map(|log| &**log).collect();
        let logs = read_logs(&logs, &self.about)?;
        let traces: Vec<&Trace> = logs.iter().map(|log| &log.trace).collect();
        let draws = known.as_ref().map(|machine| machine.draws.clone()).unwrap_or_default();
        let mut nights = Nights::read(&traces, &draws);
        for ((path, log), cycles) in self.logs.iter().zip(&logs).zip(&nights.cycles) {
            judgeable(path, &log.trace, cycles)?;
        }
        let found: usize = nights.cycles.iter().map(Vec::len).sum();
        if known.is_none() && !self.all {
            leave_out_faulty(&self.logs, &traces, &mut nights.cycles);
        }
        let cycles: Vec<(usize, &Cycle)> =
            nights.cycles.iter().enumerate().flat_map(|(i, own)| own.iter().map(move |c| (i, c))).collect();
        let learned = match known {
            Some(machine) => add(machine, &nights.all(), nights.resolution())?,
            None => nights.learn(&self.name()).map_err(|error| {
                let faulty =
                    if cycles.len() < found { "; --all takes those that look faulty, too" } else { "" };
                Failure::Other(format!("{error}{faulty}"))
            })?,
        };
        for (index, why) in &learned.left_out {
            let (log, cycle) = cycles[*index];
            let at = clock_time(traces[log], cycle.start());
            say(&format!("{}: the cycle at {at} is left out: {why}", self.logs[log].display()));
        }
        for odd in &learned.unlike {
            say(&format!("{}: {odd}", self.output.display()));
        }
        let used: Vec<&Cycle> = learned.used.iter().map(|i| cycles[*i].1).collect();
        for odd in odd(&learned.machine, &used) {
            say(&format!("{}: {}", self.output.display(), odd_words(&odd)));
        }
        place.write_all(to_toml(&learned.machine).as_bytes())?;
        let used = learned.used.len();
        for programme in &learned.machine.programmes {
            let caution =
                if is_of_few(programme.seen) { "; its limits are wide, more cycles narrow them" } else { "" };
            let cycles = of_cycles(programme.seen);
            let from = if self.add.is_some() { "now from" } else { "from" };
            say(&format!(
                "{}: programme \"{}\" {from} {cycles}{caution}",
                self.output.display(),
                programme.name
            ));
        }
        let took = if self.add.is_some() { "took in" } else { "learned from" };
        say(&format!("{}: {took} {used} of {found} cycles", self.output.display()));
        Ok(Done::Well)
    }
}

/// What is odd about a machine as it was learned, in words: be sure that the cycles were good.
fn odd_words(odd: &Odd) -> String {
    match odd {
        Odd::NeverHeats(programme) => format!(
            "programme \"{programme}\" never heats: unless it is a cold one, or the machine is fed hot, its heater did nothing in these cycles, and check will take that for right"
        ),
        Odd::MayHeat { programme, hold } => format!(
            "programme \"{programme}\": {hold} comes in some of its cycles only: unless another choice at the panel explains it, the heater failed in the others, and check will take that for right"
        ),
        Odd::TwoPowers { low, high, weak, cycles } => format!(
            "the heater draws {low:.1} A in {weak} of {cycles} cycles and {high:.1} A in the others: unless the machine heats in two stages, half of its element is dead in those; check takes either as good"
        ),
    }
}

/// Leaves out the cycles that look faulty, and names them; says what is usual of this machine though it looks faulty.
fn leave_out_faulty(paths: &[PathBuf], traces: &[&Trace], nights: &mut [Vec<Cycle>]) {
    let faulty = faulty(traces, nights);
    let headline = |f: &Finding| f.departure.headline.of(&f.interval);
    for (usual, count) in &faulty.usual {
        say(&format!(
            "{count} of {} cycles look faulty: {}; it is learned as what this machine does, so be sure that it does",
            faulty.cycles,
            headline(usual)
        ));
    }
    for (((path, trace), cycles), odd) in paths.iter().zip(traces).zip(nights).zip(faulty.odd) {
        let mut odd = odd.into_iter();
        cycles.retain(|cycle| {
            let Some(odd) = odd.next().flatten() else { return true };
            say(&format!(
                "{}: the cycle at {} is left out, for it looks faulty: {}; --all takes it, too",
                path.display(),
                clock_time(trace, cycle.start()),
                headline(&odd)
            ));
            false
        });
    }
}
