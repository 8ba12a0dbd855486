//! `cargo xtask strangers [--kinds A,B] [--seeds A..B] [--meter M] [--house A,B] [--days N] [--samples | --traces FOLDER] [--rules] [--tell] [--limits]`: what the
//! program says of machines from a generator that knows nothing of it. Only sums over seeds are printed, so that what one seed holds stays unseen; `--tell`
//! prints what is found in healthy cycles, of seeds that may be looked at. With `--samples` raw samples of a cycle are read instead;
//! with `--house fridge,lamp` something else is on the meter; with `--rules` nothing is learned or checked, and what each pass over the loads changes in healthy days is counted.

mod figures;
mod rules;
mod samples;
mod stated;
mod traces;

use std::ops::Range;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Mutex;

use figures::Sums;
use rayon::prelude::*;
use strangers::kinds::{KINDS, Kind, named};
use strangers::meter::Meter;
use tubtrace::trace::Meter::Power;
use tubtrace_tests::program::{Said, Verdict, check, cycles, learn};
use tubtrace_tests::second_world::{self, Guest, truth};

/// So many days begin a run with faults in health.
const HEALTHY_DAYS: usize = 3;

/// Seeds from here on are to stay unseen.
const UNSEEN_FROM: u64 = 2000;

struct Wanted {
    kinds: Vec<&'static Kind>,
    seeds: Range<u64>,
    meter: Meter,
    /// What else is on it.
    house: Vec<Guest>,
    days: usize,
    /// Raw samples of four channels instead of a meter's watts.
    samples: bool,
    /// Recordings of others in this folder instead of the generator's.
    traces: Option<PathBuf>,
    /// Count what each pass changes instead.
    rules: bool,
    /// Print every finding of a healthy cycle, or every stretch of samples that is misread.
    tell: bool,
    /// Fail where it is worse than what was reached.
    limits: bool,
}

fn main() -> ExitCode {
    let Some(wanted) = wanted() else {
        eprintln!(
            "cargo xtask strangers [--kinds A,B] [--seeds A..B] [--meter M] [--house A,B] [--days N] [--samples | --traces FOLDER] [--rules] [--tell] [--limits]"
        );
        return ExitCode::from(2);
    };
    match run(&wanted) {
        Ok(all) if !wanted.limits || all.is_as_good_as_before(wanted.samples) => ExitCode::SUCCESS,
        Ok(_) => {
            eprintln!(
                "strangers: more healthy cycles depart, or fewer loads are right, than its limits allow"
            );
            ExitCode::FAILURE
        }
        Err(what) => {
            eprintln!("strangers: {what}");
            ExitCode::FAILURE
        }
    }
}

fn wanted() -> Option<Wanted> {
    let mut wanted = Wanted {
        kinds: KINDS.iter().collect(),
        seeds: 1..4,
        meter: Meter::OneWatt,
        house: Vec::new(),
        days: 6,
        samples: false,
        traces: None,
        rules: false,
        tell: false,
        limits: false,
    };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--samples" => wanted.samples = true,
            "--rules" => wanted.rules = true,
            "--tell" => wanted.tell = true,
            "--limits" => wanted.limits = true,
            _ => valued(&mut wanted, &word, words.next()?)?,
        }
    }
    (!wanted.tell || wanted.seeds.end <= UNSEEN_FROM).then_some(wanted)
}

/// Takes an option that has a value.
fn valued(wanted: &mut Wanted, option: &str, value: String) -> Option<()> {
    match option {
        "--kinds" => wanted.kinds = value.split(',').map(named).collect::<Option<_>>()?,
        "--seeds" => {
            let (from, to) = value.split_once("..")?;
            wanted.seeds = from.parse().ok()?..to.parse().ok()?;
        }
        "--traces" => wanted.traces = Some(value.into()),
        "--meter" => wanted.meter = Meter::named(&value)?,
        "--house" => wanted.house = value.split(',').map(Guest::named).collect::<Option<_>>()?,
        "--days" => wanted.days = value.parse().ok().filter(|&n| n > 1)?,
        _ => return None,
    }
    Some(())
}

/// Every machine, two at a time, and the table.
fn run(wanted: &Wanted) -> Result<Sums, String> {
    if let Some(folder) = &wanted.traces {
        return traces::run(folder, wanted.tell);
    }
    if wanted.rules {
        let all = rules::run(wanted)?;
        println!("{}", all.table());
        return Ok(Sums::default());
    }
    let machines: Vec<(usize, u64)> =
        (0..wanted.kinds.len()).flat_map(|kind| wanted.seeds.clone().map(move |seed| (kind, seed))).collect();
    let sums = Mutex::new(vec![Sums::default(); wanted.kinds.len()]);
    machines.par_iter().try_for_each(|&(kind, seed)| -> Result<(), String> {
        let kind_of_it = wanted.kinds[kind];
        let of_one = if wanted.samples {
            samples::machine(kind_of_it, seed, wanted.tell)?
        } else {
            machine(wanted, kind_of_it, seed)?
        };
        sums.lock().map_err(|_| "a thread broke off")?[kind].join(&of_one);
        Ok(())
    })?;
    let sums = sums.into_inner().map_err(|_| "a thread broke off")?;
    let names: Vec<&str> = wanted.kinds.iter().map(|kind| kind.name).collect();
    Ok(if wanted.samples { samples::print(&wanted.kinds, &sums) } else { print(&names, &sums) })
}

/// One machine: its healthy days, and the same days with faults.
fn machine(wanted: &Wanted, kind: &'static Kind, seed: u64) -> Result<Sums, String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let mut sums = Sums::of_a_machine();
    let write = |name: &str, healthy: usize| {
        let days = (healthy, wanted.days - healthy);
        second_world::days(kind, seed, wanted.meter, &wanted.house, &folder.path().join(name), days)
            .map_err(|e| e.to_string())
    };
    let healthy = write("healthy", wanted.days)?;
    let file = folder.path().join("X.machine.toml");
    let days = Days { name: &format!("{} {seed}", kind.name), days: &healthy, apart: apart(wanted.meter) };
    let Some(taught) = in_health(&days, &file, wanted.tell, &mut sums)? else { return Ok(sums) };
    for day in write("faulty", HEALTHY_DAYS.min(wanted.days))?.iter().skip(HEALTHY_DAYS) {
        with_fault(day, &file, &taught, &mut sums)?;
    }
    Ok(sums)
}

/// Healthy days of one machine.
struct Days<'a> {
    /// What it is called where something is told of it.
    name: &'a str,
    days: &'a [PathBuf],
    /// How far readings are apart, seconds.
    apart: f64,
}

/// What is said of healthy days: the even ones are learned from, the odd ones checked. Gives the programmes of those that were learned from; none,
/// where nothing could be learned.
fn in_health(of: &Days, file: &Path, tell: bool, sums: &mut Sums) -> Result<Option<Vec<String>>, String> {
    let even: Vec<&Path> = of.days.iter().skip(1).step_by(2).map(PathBuf::as_path).collect();
    let learned = learn(&even, file).is_ok();
    let mut taught: Vec<String> = Vec::new();
    for day in &even {
        taught.extend(truth::read(day)?.cycles.into_iter().map(|c| c.programme));
    }
    sums.unlearned += u32::from(!learned);
    for day in of.days {
        sums.compare(&truth::read(day)?, &cycles(day)?, f64::INFINITY, of.apart, Power);
    }
    if !learned {
        return Ok(None);
    }
    for day in of.days.iter().step_by(2) {
        if let Said::Cycles(said) = check(day, Some(file))? {
            said.iter().for_each(|verdict| sums.healthy.add(&[verdict]));
            for cycle in &truth::read(day)?.cycles {
                let known = taught.contains(&cycle.programme);
                sums.stated.add(&hits(&said, cycle), known);
                let of_it = if known { &mut sums.taught } else { &mut sums.untaught };
                of_it.add(&hits(&said, cycle));
            }
            for told in said.iter().flat_map(|v| &v.told).filter(|_| tell) {
                println!("{}, {}: {told}", of.name, day.file_stem().unwrap_or_default().display());
            }
        }
    }
    Ok(Some(taught))
}

/// How far the readings of a meter are apart, seconds.
fn apart(meter: Meter) -> f64 {
    match meter {
        Meter::OneWatt | Meter::TwoWatts | Meter::Tenths | Meter::Gaps => 1.0,
        Meter::Slow => 5.0,
        Meter::TenSeconds => 10.0,
        Meter::Minute => 60.0,
    }
}

/// What is said of the cycles of a day in which a fault changed something.
fn with_fault(day: &Path, file: &Path, taught: &[String], sums: &mut Sums) -> Result<(), String> {
    let truth = truth::read(day)?;
    if truth.cycles.iter().all(|c| c.fault.is_none()) {
        return Ok(());
    }
    let said = match check(day, Some(file))? {
        Said::Cycles(cycles) => cycles,
        Said::Nothing(_) => Vec::new(),
    };
    for cycle in &truth.cycles {
        let Some(fault) = &cycle.fault else { continue };
        sums.stated.add(&hits(&said, cycle), taught.contains(&cycle.programme));
        sums.faults.entry(fault.clone()).or_default().add(&hits(&said, cycle));
    }
    Ok(())
}

/// What was said of a cycle.
fn hits<'a>(said: &'a [Verdict], cycle: &truth::Cycle) -> Vec<&'a Verdict> {
    said.iter().filter(|v| v.start < cycle.end && v.end > cycle.start).collect()
}

/// Prints everything; gives the sums of all kinds.
fn print(names: &[&str], sums: &[Sums]) -> Sums {
    let mut all = Sums::default();
    println!(
        "| kind | days with the right number of cycles | healthy cycles | depart | unknown | right loads | right where sure (of the time) | Brier | log loss | with a fault | depart | unknown |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|---|---|");
    for (name, of_kind) in names.iter().zip(sums) {
        println!("{}", of_kind.row(name));
        all.join(of_kind);
    }
    println!("{}", all.row("all"));
    println!("\n{}\n{}", all.reliability.table(), all.coverage.table());
    println!("\nfirst findings of healthy cycles: {}", all.healthy.kinds());
    for (of, said) in [("taught", &all.taught), ("not taught", &all.untaught)] {
        println!(
            "healthy cycles of a programme that was {of}: {}, of which {} are called of no known programme and {} depart",
            said.cycles, said.unknown, said.departing
        );
    }
    println!("\n{}", all.stated.table());
    println!("machines of which nothing could be learned: {} of {}", all.unlearned, all.machines);
    println!("\n| fault | cycles | depart | unknown | first finding |\n|---|---|---|---|---|");
    for (fault, said) in &all.faults {
        println!("| {fault} | {} | {} | {} | {} |", said.cycles, said.departing, said.unknown, said.kinds());
    }
    all
}
