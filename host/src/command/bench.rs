//! `tubtrace bench`.

use std::path::{Path, PathBuf};

use clap::Args;

use super::grouped::logs as logs_of;
use super::judging::{How, Outcomes};
use super::known::read_machines;
use super::outcome::{Done, Failure};
use super::shown::Shown;
use super::streams::{hand_over, print, say};
use super::worked::{About, Worked, read_logs};
use super::writing::Writing;
use crate::analysis::Analysis;
use crate::bench::{Assessment, Found, Plan, Verdict, assess, digest, overlaid, read, without_water};
use crate::chart::Machine;
use crate::findings::{Causes, Judged};
use crate::job::Job;
use crate::log::Log;
use crate::output::Rules;
use crate::parallel;
use crate::report::{Bench, Input, Units, bench_json, bench_page, bench_text};
use crate::text::json;

/// Holds many runs of a repaired control against a plan: passed, failed, or not enough runs yet.
///
/// The plan is a text file: what is tested, which machine file, how many runs of which programmes, what the original fault looked like, and how sure you want
/// to be. Runs that are missing, of another programme or in doubt are never a pass. For each interval: spread, control chart, room within its limits, and how
/// much of the spread is the logger's own. --page makes a sheet to print and sign, --verify checks one against the files again.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace bench repair.plan.toml runs/ --page repair.html\n  tubtrace bench repair.plan.toml monday.tub tuesday.tub --json\n  tubtrace bench repair.plan.toml runs/ --verify repair.html\n\nA plan:\n  bench = 1\n  control = \"0417\"                           its serial number\n  complaint = \"now and then it stays cold\"    also customer, repair\n  machine = \"dishwasher.machine.toml\"         a machine file or chart, from the plan's folder\n  confidence = 0.95\n  loads = \"dummy\"                             lamps and resistors: nothing is said about water\n  stepped = true                              cut short by hand: order and loads alone\n  good_one_in = 200                           asks after each run as well (Wald)\n  [[runs]]\n  programme = \"normal\"\n  count = 20\n  [fault]                                     what it looked like before the repair\n  kind = \"no-heat heat\"                       as check --json calls it\n  seen = [1, 8]                               in 1 of 8 runs\n  [[limits]]                                  tighter or looser than the machine file's\n  interval = \"first fill\"\n  lasts_s = [60, 110]\n\nExit codes: 0 passed, or the page is what these files come to; 1 failed, or it is not; 2 could not do\n  it; 4 not enough runs yet.\n\nA live bench can kill: isolation transformer, RCD or GFCI on its mains side, discharge capacitors, never alone; local codes\nand licensed people come first."
)]
pub(super) struct OnBench {
    /// The plan: repair.plan.toml.
    plan: PathBuf,
    /// .tub logs or CSVs of the runs, or folders of them. They are put in the order of their clocks, where all have one.
    #[arg(required = true, value_name = "LOG")]
    logs: Vec<PathBuf>,
    /// Makes a page of one sheet to print and sign.
    #[arg(long, value_name = "FILE.html")]
    page: Option<PathBuf>,
    /// Checks that a page is what these files come to, and names what is not.
    #[arg(long, value_name = "FILE.html", conflicts_with = "page")]
    verify: Option<PathBuf>,
    /// JSON instead of text.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    writing: Writing,
    #[command(flatten)]
    about: About,
    #[command(flatten)]
    shown: Shown,
}

/// A log that was read.
struct Read {
    path: PathBuf,
    log: Log,
    input: Input,
}

impl OnBench {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let plan = read(&self.plan)?;
        let paths = logs_of(&self.logs)?;
        let mut read_too: Vec<&Path> = paths.iter().map(|p| &**p).collect();
        read_too.extend([&*self.plan, &*plan.machine]);
        read_too.extend(self.verify.as_deref());
        let rules = Rules::new(&read_too, self.writing.force)?;
        let place = self.page.as_ref().map(|page| rules.place(page)).transpose()?;
        let wrong = |what: String| Failure::Other(format!("{}:{what}", self.plan.display()));
        let machine = overlaid(&machine_of(&plan)?, &plan).map_err(wrong)?;
        let files = [input(&self.plan)?, input(&plan.machine)?];
        let (mut logs, mut worked) = (Vec::new(), Vec::new());
        for Read { path, log, input } in self.logs(&plan, &paths)? {
            logs.push(input);
            worked.push((path, log));
        }
        let worked = work(worked, &machine);
        let judged = judge(&plan, &worked, &machine)?;
        let found: Vec<Found> = found(&worked, &judged);
        if found.is_empty() {
            return Err(Failure::Other(
                "no run in these logs, so there is nothing to hold against the plan".into(),
            ));
        }
        let assessment = assess(&plan, &machine, &found).map_err(wrong)?;
        let told = Bench {
            plan: &plan,
            assessment: &assessment,
            machine: &machine.name,
            files: [&files[0], &files[1]],
            logs: &logs,
            units: self.shown.units(),
            width: self.shown.width(),
        };
        if let Some(page) = &self.verify {
            return verify(page, told);
        }
        if self.json {
            hand_over(&(json(&bench_json(told)) + "\n"))?;
        } else {
            print(&bench_text(told))?;
        }
        if let Some(place) = place {
            let html = bench_page(told);
            place.write_all(html.as_bytes())?;
            say(&format!("{}: {} kB", place.name(), html.len().div_ceil(1_000)));
        }
        Ok(done(&assessment))
    }

    /// The logs, in the order of their clocks where all have one, and else as they were given.
    fn logs(&self, plan: &Plan, paths: &[PathBuf]) -> Result<Vec<Read>, Failure> {
        let all: Vec<&Path> = paths.iter().map(|p| &**p).collect();
        let digests = parallel::map(&all, |path| input(path));
        let read = read_logs(&all, &self.about)?;
        let one = |((path, log), input): ((&PathBuf, Log), Result<Input, Failure>)| {
            Ok(Read { path: path.clone(), log, input: input? })
        };
        let mut logs =
            paths.iter().zip(read).zip(digests).map(one).collect::<Result<Vec<Read>, Failure>>()?;
        if logs.iter().all(|read| read.log.trace.clock.is_some()) {
            logs.sort_by_key(|read| read.log.trace.clock.map(|clock| clock.start));
        }
        for (at, read) in logs.iter().enumerate() {
            if let Some(same) = logs[..at].iter().find(|other| other.input.digest == read.input.digest) {
                return Err(Failure::Other(format!(
                    "{} and {} are the same log, and no run counts twice: leave one out",
                    same.path.display(),
                    read.path.display()
                )));
            }
        }
        if plan.dummy {
            logs.iter_mut().for_each(|read| read.log.trace = without_water(&read.log.trace));
        }
        Ok(logs)
    }
}

/// The machine that the plan names.
fn machine_of(plan: &Plan) -> Result<Machine, Failure> {
    let mut machines = read_machines(&plan.machine)?;
    match machines.len() {
        1 => Ok(machines.remove(0)),
        n => Err(Failure::Other(format!(
            "{}: a plan is for one machine, and here are {n}: name the file of one",
            plan.machine.display()
        ))),
    }
}

fn done(assessment: &Assessment) -> Done {
    match assessment.verdict {
        Verdict::Passed => Done::Well,
        Verdict::Failed => Done::Departs,
        Verdict::NotEnough => Done::NotEnough,
    }
}

fn input(path: &Path) -> Result<Input, Failure> {
    if path == Path::new("-") {
        return Err(Failure::Other(
            "-: what a test is made of is a file, so that it can be checked again".into(),
        ));
    }
    let bytes = std::fs::read(path)
        .map_err(|error| Failure::Other(format!("cannot read {}: {error}", path.display())))?;
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
    Ok(Input { name, digest: digest(&bytes) })
}

/// The cycles of all logs, by what the loads of the machine draw.
fn work(logs: Vec<(PathBuf, Log)>, machine: &Machine) -> Vec<(PathBuf, Worked)> {
    let traces: Vec<_> = logs.iter().map(|(_, log)| &log.trace).collect();
    let cycles = parallel::map(&traces, |trace| Analysis::of_known(trace, &machine.draws).cycles);
    let worked = logs.into_iter().zip(cycles);
    worked.map(|((path, log), cycles)| (path, Worked::new(log, cycles, Job::UNKNOWN))).collect()
}

/// What every cycle comes to.
fn judge(plan: &Plan, worked: &[(PathBuf, Worked)], machine: &Machine) -> Result<Vec<Vec<Judged>>, Failure> {
    let how = How::stepped(plan.stepped);
    let one = |(path, worked): &(PathBuf, Worked)| {
        let Outcomes { judged, .. } = how.judge(path, worked, Some(machine), None, Causes::built_in())?;
        Ok(judged)
    };
    worked.iter().map(one).collect()
}

/// The runs of all logs, one after the other.
fn found<'a>(worked: &'a [(PathBuf, Worked)], judged: &'a [Vec<Judged>]) -> Vec<Found<'a>> {
    let mut all = Vec::new();
    for (log, ((_, worked), judged)) in worked.iter().zip(judged).enumerate() {
        for (cycle, judged) in worked.cycles.iter().zip(judged) {
            let began = worked.log.trace.clock.and_then(|clock| clock.at(cycle.start()));
            all.push(Found { log, cycle, judged, began });
        }
    }
    all
}

/// Whether a page is what these files come to: made again, it is the same to the byte.
fn verify(path: &Path, told: Bench) -> Result<Done, Failure> {
    let page = std::fs::read_to_string(path)
        .map_err(|error| Failure::Other(format!("cannot read {}: {error}", path.display())))?;
    let name = path.display();
    let again = |units| bench_page(Bench { units, ..told });
    if [Units::Si, Units::Us].into_iter().any(|units| again(units) == page) {
        print(&format!("{name}: the same plan, machine file, logs and program come to this page\n"))?;
        return Ok(Done::Well);
    }
    print(&format!("{name}: NOT what these files come to\n"))?;
    let inputs = told.files.into_iter().chain(told.logs);
    let other: Vec<&Input> = inputs.filter(|input| !page.contains(&input.digest)).collect();
    // Of many logs, the digest of their list stands on the page.
    let listed = page.contains(&told.list());
    let other: Vec<&Input> =
        other.into_iter().filter(|input| !(listed && told.logs.contains(input))).collect();
    for input in &other {
        print(&format!("  {} is not the file that it was made of\n", crate::text::harmless(&input.name)))?;
    }
    let version = concat!("by tubtrace ", env!("CARGO_PKG_VERSION"), " ");
    if !page.contains(version) {
        print("  another version of tubtrace made it: check it with that one\n")?;
    } else if other.is_empty() {
        print("  the files are those that it was made of, so the page itself was changed\n")?;
    }
    Ok(Done::Departs)
}
