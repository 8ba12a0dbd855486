//! `tubtrace report`.

use std::path::{Path, PathBuf};

use clap::Args;
use tubtrace_units::Seconds;

use super::about_job::AboutJob;
use super::judging::{How, Outcomes, judge_all};
use super::known::{Given, Known};
use super::outcome::{Done, Failure};
use super::several::each;
use super::shown::{Inlet, Shown};
use super::streams::say;
use super::worked::{About, Worked, read_log, read_logs};
use super::writing::Writing;
use crate::compare::OTHERS;
use crate::diagnosis::{Diagnosis, diagnose};
use crate::export::names;
use crate::findings::{Causes, Judged};
use crate::job::Job;
use crate::learn::{ENOUGH, learn, spread};
use crate::log::Log;
use crate::output::Place;
use crate::report::{Sheet, Subject, beside, page};
use crate::sheet::Options;

/// Makes one page of a log, for a phone, a laptop and paper: verdict, findings, pictures, tables.
///
/// The page stands alone: it opens without a network, and nothing in it asks for one. With --after, a repair's before and after stand
/// side by side. Without a chart, three cycles or more are held against each other, and what was before against what came after.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace report night.tub --machine dishwasher.machine.toml -o night.html\n  tubtrace report monday.tub tuesday.tub -o pages/\n  tubtrace report before.tub --after after.tub --machine dishwasher.machine.toml -o repair.html\n\nUnplug or lock out the supply and prove it dead before a panel comes off; panels back on before power."
)]
pub(super) struct Report {
    /// .tub logs or CSVs; - is standard input. Of several each has a page of its own.
    #[arg(required = true, value_name = "LOG")]
    logs: Vec<PathBuf>,
    /// A log from after the repair: the first is then the one from before.
    #[arg(long, value_name = "LOG")]
    after: Option<PathBuf>,
    #[command(flatten)]
    known: Known,
    #[command(flatten)]
    how: How,
    /// A picture and a table of every cycle; by default, of more than a dozen cycles, of those that depart and a few others.
    #[arg(long)]
    all: bool,
    /// Where the page goes; - is standard output. Of several logs, a folder: night.html of night.tub.
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
    options: Vec<Option<Options>>,
}

impl Told {
    /// What is the matter by all cycles together; none where there was nothing to hold them against.
    fn diagnoses<'a>(&'a self, causes: &'a Causes) -> Vec<Diagnosis<'a>> {
        let judged = if self.against.is_some() { &*self.judged } else { &[] };
        diagnose(&self.worked.cycles, judged, causes)
    }
}

impl Report {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let logs = self.logs.iter().map(|log| &**log);
        let inputs: Vec<&Path> =
            logs.chain(self.after.as_deref()).chain(self.known.inputs()).chain(self.how.inputs()).collect();
        let places = self.places(&inputs)?;
        let given = self.known.read()?;
        let own = self.how.own_causes()?;
        let causes = own.as_ref().unwrap_or(Causes::built_in());
        let mut at = self.logs.iter().zip(&places);
        // Their pages are no output that stands one below the other, so no heading stands between.
        each(&self.logs, true, |_| {
            let Some((log, place)) = at.next() else { return Ok(Done::Well) };
            let job = self.job.beside(log)?;
            let html = match &self.after {
                None => self.one(log, &given, causes)?,
                Some(after) => self.repair(log, after, &given, causes)?,
            };
            place.write_all(html.as_bytes())?;
            if let Some((place, job)) = job {
                place.write_all(job.to_toml().as_bytes())?;
            }
            if self.output != Path::new("-") {
                say(&format!("{}: {} kB", place.name(), html.len().div_ceil(1_000)));
            }
            Ok(Done::Well)
        })
    }

    /// Where each log's page goes: all of them are asked for before a log is read.
    fn places(&self, inputs: &[&Path]) -> Result<Vec<Place>, Failure> {
        if let [_] = self.logs[..] {
            return Ok(vec![self.writing.place(&self.output, inputs)?]);
        }
        if self.after.is_some() {
            return Err(Failure::Other("--after: one log from before, and one from after".into()));
        }
        if self.output == Path::new("-") || self.output.is_file() {
            return Err(Failure::Other(format!(
                "{} logs have a page each, which do not go into one file; name a folder: -o pages/",
                self.logs.len()
            )));
        }
        let logs: Vec<&Path> = self.logs.iter().map(|log| &**log).collect();
        let page = |name: &String| {
            Ok(self.writing.place_below(&self.output.join(format!("{name}.html")), inputs)?)
        };
        names(&logs).map_err(Failure::Other)?.iter().map(page).collect()
    }

    fn read(&self, log: &Path) -> Result<(Log, Job), Failure> {
        Ok((read_log(log, &self.about)?, self.job.of_log(log)?))
    }

    /// The page of one log.
    fn one(&self, log: &Path, given: &Given, causes: &Causes) -> Result<String, Failure> {
        let (log_read, job) = self.read(log)?;
        let (worked, machine) = given.work_one(log_read, job)?;
        let judge =
            |worked: &Worked| self.how.judge(log, worked, machine.as_ref(), given.sheet.as_ref(), causes);
        let told = Told::of(worked, judge)?;
        Ok(page(self.sheet(&told, &told.diagnoses(causes), causes, "")))
    }

    /// The page of what was before a repair beside what came after it.
    fn repair(&self, log: &Path, after: &Path, given: &Given, causes: &Causes) -> Result<String, Failure> {
        let after_path = after;
        let logs = read_logs(&[log, after], &self.about)?;
        let jobs = [self.job.of_log(log)?, self.job.of_log(after)?];
        let (mut both, machine) = given.work(logs.into_iter().zip(jobs).collect())?;
        let (Some(after), Some(before)) = (both.pop(), both.pop()) else {
            return Err(Failure::Other("two logs were asked for, and not read".into()));
        };
        let (before, after) = match machine {
            None => {
                before.judgeable(log)?;
                after.judgeable(after_path)?;
                self.without_chart(before, (after_path, after), causes)?
            }
            Some(machine) => {
                let told = |path, worked| {
                    Told::of(worked, |worked| {
                        self.how.judge(path, worked, Some(&machine), given.sheet.as_ref(), causes)
                    })
                };
                (told(log, before)?, told(after_path, after)?)
            }
        };
        let (was, is) = (before.diagnoses(causes), after.diagnoses(causes));
        Ok(beside(self.sheet(&before, &was, causes, "before"), self.sheet(&after, &is, causes, "after")))
    }

    /// What was before a repair is held against what came after it, which is taken as good: it is held against its own cycles where
    /// there are enough, and else against nothing.
    fn without_chart(
        &self,
        before: Worked,
        (after_path, after): (&Path, Worked),
        causes: &Causes,
    ) -> Result<(Told, Told), Failure> {
        let good: Vec<_> = spread(after.cycles.len(), ENOUGH).map(|i| &after.cycles[i]).collect();
        let resolution = Seconds::max(before.log.trace.resolution, after.log.trace.resolution);
        let machine = learn(&good, "after", resolution).map_err(|error| {
            Failure::Other(format!(
                "{}: {error}; give a machine file or a chart with --machine",
                after_path.display()
            ))
        })?;
        let machine = machine.machine;
        let judged = judge_all(&before, &machine, causes);
        let against = Some("what the machine does after the repair".into());
        // Its intervals are called as those of the other log, whatever its own cycles are held against.
        let alike = judge_all(&after, &machine, causes);
        let mut after = Told::of(after, |worked| self.how.judge(after_path, worked, None, None, causes))?;
        for (own, same) in after.judged.iter_mut().zip(alike) {
            (own.placed, own.programme) = (same.placed, same.programme);
        }
        Ok((Told { worked: before, against, judged, options: Vec::new() }, after))
    }

    fn sheet<'a>(
        &self,
        told: &'a Told,
        diagnoses: &'a [Diagnosis<'a>],
        causes: &'a Causes,
        role: &'a str,
    ) -> Sheet<'a> {
        let inlet = self.inlet.flow(self.shown.units());
        Sheet {
            subject: Subject { inlet, ..told.worked.subject(self.shown) },
            chart: told.against.as_deref(),
            judged: &told.judged,
            diagnoses,
            causes,
            options: &told.options,
            all: self.all,
            role,
        }
    }
}

impl Told {
    /// A log, judged as is said.
    fn of(worked: Worked, judge: impl FnOnce(&Worked) -> Result<Outcomes, Failure>) -> Result<Self, Failure> {
        let Outcomes { chart, judged, options } = judge(&worked)?;
        let against = match chart.as_str() {
            OTHERS => "what the other cycles of this log do".to_owned(),
            chart => format!("the chart \u{201c}{chart}\u{201d}"),
        };
        Ok(Self { worked, against: Some(against), judged, options })
    }
}
