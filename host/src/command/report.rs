//! `tubtrace report`.

use std::path::{Path, PathBuf};

use clap::Args;
use tubtrace_units::Seconds;

use super::about_job::AboutJob;
use super::check::{judge_all, judge_among, same_scale, with_options};
use super::known::Known;
use super::outcome::{Done, Failure};
use super::shown::{Inlet, Shown};
use super::streams::say;
use super::worked::{About, Worked};
use super::writing::Writing;
use crate::chart::Machine;
use crate::diagnosis::{Diagnosis, diagnose};
use crate::findings::{Causes, Judged};
use crate::learn::{LearnError, learn};
use crate::programme::most_familiar;
use crate::report::{Sheet, Subject, beside, page};
use crate::sheet::Drawn;

/// Makes one page of a log, for a phone, a laptop and paper: verdict, findings, pictures, tables.
///
/// The page stands alone: it opens without a network, and nothing in it asks for one. With --after, a repair's before and after stand
/// side by side. Without a chart, three cycles or more are held against each other, and what was before against what came after.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace report night.tub --machine dishwasher.machine.toml -o night.html\n  tubtrace report before.tub --after after.tub --machine dishwasher.machine.toml -o repair.html\n\nUnplug or lock out the supply and prove it dead before a panel comes off; panels back on before power."
)]
pub(super) struct Report {
    /// A .tub log or a CSV; - is standard input.
    log: PathBuf,
    /// A log from after the repair: the first is then the one from before.
    #[arg(long, value_name = "LOG")]
    after: Option<PathBuf>,
    #[command(flatten)]
    known: Known,
    /// Where the page goes; - is standard output.
    #[arg(short, long, value_name = "FILE.html")]
    output: PathBuf,
    #[command(flatten)]
    writing: Writing,
    #[command(flatten)]
    inlet: Inlet,
    #[command(flatten)]
    about: About,
    #[command(flatten)]
    job: AboutJob,
    #[command(flatten)]
    shown: Shown,
}

/// A judged log: what it was held against, and the result.
struct Told {
    worked: Worked,
    against: Option<String>,
    judged: Vec<Judged>,
}

impl Told {
    /// What is the matter by all cycles together; none where there was nothing to hold them against.
    fn diagnoses(&self) -> Vec<Diagnosis<'_>> {
        let judged = if self.against.is_some() { &*self.judged } else { &[] };
        diagnose(&self.worked.cycles, judged, Causes::built_in())
    }
}

impl Report {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let inputs = std::iter::once(&*self.log).chain(self.after.as_deref()).chain(self.known.inputs());
        let inputs: Vec<&Path> = inputs.collect();
        let place = self.writing.place(&self.output, &inputs)?;
        let given = self.known.read()?;
        let read = |path: &Path| {
            let mut worked = Worked::read(path, &self.about)?;
            worked.job = self.job.of_log(path)?;
            worked.judgeable(path)?;
            Ok::<_, Failure>(worked)
        };
        let html = match &self.after {
            None => {
                let worked = read(&self.log)?;
                let machine = given.machine_of(&worked)?;
                let told = Told::of(worked, machine.as_ref()).with_options(given.sheet.as_ref());
                if let Some(machine) = &machine {
                    same_scale(&self.log, &told.worked, machine, &told.judged)?;
                }
                page(self.sheet(&told, &told.diagnoses(), ""))
            }
            Some(after) => {
                let (before, after_path, after) = (read(&self.log)?, after, read(after)?);
                let both = before.cycles.iter().chain(&after.cycles);
                let (before, after) = match given.machines.clone().and_then(|all| most_familiar(all, both)) {
                    None => Told::without_chart(before, after).map_err(|error| {
                        Failure::Other(format!(
                            "{}: {error}; give a machine file or a chart with --machine",
                            after_path.display()
                        ))
                    })?,
                    Some(machine) => {
                        let told = [(&*self.log, before), (&**after_path, after)].map(|(path, worked)| {
                            let told = Told::of(worked, Some(&machine)).with_options(given.sheet.as_ref());
                            same_scale(path, &told.worked, &machine, &told.judged).map(|()| told)
                        });
                        let [before, after] = told;
                        (before?, after?)
                    }
                };
                let (was, is) = (before.diagnoses(), after.diagnoses());
                beside(self.sheet(&before, &was, "before"), self.sheet(&after, &is, "after"))
            }
        };
        place.write_all(html.as_bytes())?;
        if self.output != Path::new("-") {
            say(&format!("{}: {} kB", self.output.display(), html.len().div_ceil(1_000)));
        }
        Ok(Done::Well)
    }

    fn sheet<'a>(&self, told: &'a Told, diagnoses: &'a [Diagnosis<'a>], role: &'a str) -> Sheet<'a> {
        let units = self.shown.units();
        let subject = Subject { inlet: self.inlet.flow(units), ..told.worked.subject(units) };
        Sheet {
            subject,
            chart: told.against.as_deref(),
            judged: &told.judged,
            diagnoses,
            causes: Causes::built_in(),
            role,
        }
    }
}

impl Told {
    /// Held against what is known of the machine, or each cycle against the others.
    fn of(worked: Worked, machine: Option<&Machine>) -> Self {
        let (against, judged) = match machine {
            Some(machine) => (named(&machine.name), judge_all(&worked, machine, Causes::built_in())),
            None => ("what the other cycles of this log do".into(), judge_among(&worked, Causes::built_in())),
        };
        Self { worked, against: Some(against), judged }
    }

    /// Where it is held against a sheet: a cycle that another choice at the panel explains is no departure.
    fn with_options(mut self, sheet: Option<&Drawn>) -> Self {
        (self.judged, _) = with_options(sheet, &self.worked, self.judged);
        self
    }

    /// What was before a repair is held against what came after it, which is taken as good: it is held against its own cycles where
    /// there are enough, and else against nothing.
    fn without_chart(before: Worked, after: Worked) -> Result<(Self, Self), LearnError> {
        let good: Vec<_> = after.cycles.iter().collect();
        let resolution = Seconds::max(before.log.trace.resolution, after.log.trace.resolution);
        let machine = learn(&good, "after", resolution)?.machine;
        let judged = judge_all(&before, &machine, Causes::built_in());
        let against = Some("what the machine does after the repair".into());
        // Its intervals are called as those of the other log, whatever its own cycles are held against.
        let alike = judge_all(&after, &machine, Causes::built_in());
        let mut after = Self::of(after, None);
        after.judged.iter_mut().zip(alike).for_each(|(own, same)| own.placed = same.placed);
        Ok((Self { worked: before, against, judged }, after))
    }
}

fn named(chart: &str) -> String {
    format!("the chart \u{201c}{chart}\u{201d}")
}
