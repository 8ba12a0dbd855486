//! `cargo xtask real [--machine NAME] [--every N] [--faults] [--limits] [--tell]`: what the program says of real machines. Whole days go in as they are;
//! nothing sorts, chooses or cleans them but the program.

mod figures;
mod untaught;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use figures::{Faults, Healthy};
use rayon::prelude::*;
use tubtrace_tests::real::faults;
use tubtrace_tests::real::readings::{Day, Machine, csv, machines};
use tubtrace_tests::real::{cycles_folder, minutes_folder};
use tubtrace_tests::{program, splits};

/// Readings further apart than this show no fill, drain or rinse.
const COARSE: f64 = 30.0;

/// The most healthy cycles that may depart in any way of splitting, all machines of a kind together, in percent.
/// It holds what was reached and is to come down to 5.
const LIMIT: f64 = 10.0;

struct Wanted {
    machine: String,
    every: usize,
    limits: bool,
    /// Nothing but the days with faults put into them.
    faults: bool,
    /// Print every finding.
    tell: bool,
}

fn main() -> ExitCode {
    let Some(wanted) = wanted() else {
        eprintln!("cargo xtask real [--machine NAME] [--every N] [--faults] [--limits] [--tell]");
        return ExitCode::from(2);
    };
    match run(&wanted) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(what) => {
            eprintln!("real: {what}");
            ExitCode::FAILURE
        }
    }
}

fn wanted() -> Option<Wanted> {
    let mut wanted = Wanted { machine: String::new(), every: 1, limits: false, faults: false, tell: false };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--machine" => wanted.machine = words.next()?,
            "--every" => wanted.every = words.next()?.parse().ok().filter(|&n| n > 0)?,
            "--limits" => wanted.limits = true,
            "--faults" => wanted.faults = true,
            "--tell" => wanted.tell = true,
            _ => return None,
        }
    }
    Some(wanted)
}

/// Prints everything; gives whether it is within its limits.
fn run(wanted: &Wanted) -> Result<bool, String> {
    let mut all = Vec::new();
    for (name, folder) in [("every few seconds", cycles_folder()), ("a minute", minutes_folder())] {
        match folder {
            Some(folder) => all.extend(machines(&folder)?),
            None => println!("skipped: the environment names no folder of machines with a reading {name}"),
        }
    }
    all.retain(|m| m.name.contains(&wanted.machine));
    if wanted.every > 1 {
        println!("a slice: of each machine every {}. day", wanted.every);
        all.iter_mut().for_each(|m| m.days = m.days.iter().step_by(wanted.every).cloned().collect());
    }
    let kept = tempfile::tempdir().map_err(|e| e.to_string())?;
    let mut totals = Totals::new();
    for machine in &all {
        let coarse = machine.days[0].resolution() > COARSE;
        println!(
            "{}, {} days, a reading every {:.0} s",
            machine.name,
            machine.days.len(),
            machine.days[0].resolution()
        );
        if !wanted.faults {
            healthy(wanted, machine, coarse, kept.path(), &mut totals)?;
            untaught::untaught(machine, kept.path())?;
        }
        with_faults(wanted, machine, coarse, kept.path())?;
    }
    for (coarse, what) in [
        (false, "all machines with a reading every few seconds"),
        (true, "all machines with a reading a minute"),
    ] {
        println!("{what}");
        for ((_, split), total) in totals.iter().filter(|((c, _), _)| *c == coarse) {
            print!("{}", total.row(split));
        }
    }
    if all.len() > 1 {
        println!(
            "cycles held against a chart of another machine (all of them ought to be called of no known programme)"
        );
        strangers(&all, kept.path())?;
    }
    let well = totals.values().all(|total| total.departing() <= LIMIT);
    Ok(well || !wanted.limits)
}

/// Of machines that are read by the minute or finer, by the way of splitting.
type Totals = BTreeMap<(bool, &'static str), Healthy>;

fn healthy(
    wanted: &Wanted,
    machine: &Machine,
    coarse: bool,
    kept: &Path,
    totals: &mut Totals,
) -> Result<(), String> {
    for split in splits::splits(machine.days.len()) {
        let rounds = in_parallel(&split.rounds, |n, (learn, check)| {
            let mut counts = Healthy::default();
            let chart = kept.join(format!("{n}.chart.toml"));
            match program::learn(&paths(machine, learn), &chart) {
                Ok(used) => {
                    counts.learned(used);
                    for &day in check {
                        let path = &machine.days[day].path;
                        counts.add(path, program::check(path, Some(&chart))?);
                    }
                }
                Err(why) => counts.say_nothing(why),
            }
            Ok(counts)
        })?;
        let total = joined(rounds);
        print!("{}", total.row(split.name));
        if wanted.tell {
            print!("{}", total.told());
        }
        totals.entry((coarse, split.name)).or_default().join(total);
    }
    let days = in_parallel(&machine.days, |_, day| {
        let mut counts = Healthy::default();
        counts.add(&day.path, program::check(&day.path, None)?);
        Ok(counts)
    })?;
    let total = joined(days);
    print!("{}", total.row("without a chart"));
    if wanted.tell {
        print!("{}", total.told());
    }
    totals.entry((coarse, "without a chart")).or_default().join(total);
    // Whoever pours months into one file has all of its cycles held against each other. The limit is not asked of this.
    let total = in_one_log(machine, kept)?;
    print!("{}", total.row("all days in one log"));
    if wanted.tell {
        print!("{}", total.told());
    }
    Ok(())
}

/// All days of a machine one after the other in one file, checked without a machine file.
fn in_one_log(machine: &Machine, kept: &Path) -> Result<Healthy, String> {
    let mut text = String::new();
    for day in &machine.days {
        let own = std::fs::read_to_string(&day.path).map_err(|e| format!("{}: {e}", day.path.display()))?;
        let rows = own.split_once('\n').map_or("", |(_, rows)| rows);
        if text.is_empty() {
            text.push_str("time,watts\n");
        }
        text.push_str(rows);
        if !text.ends_with('\n') {
            text.push('\n');
        }
    }
    let all = kept.join(format!("{}.csv", machine.name));
    std::fs::write(&all, text).map_err(|e| e.to_string())?;
    let mut counts = Healthy::default();
    counts.add(&all, program::check(&all, None)?);
    Ok(counts)
}

/// Into one cycle of each day, by charts of the other half of the days, both ways.
fn with_faults(asked: &Wanted, machine: &Machine, coarse: bool, kept: &Path) -> Result<(), String> {
    let charts: Vec<PathBuf> = (0..2).map(|odd| kept.join(format!("half-{odd}.chart.toml"))).collect();
    for (odd, chart) in charts.iter().enumerate() {
        let days: Vec<usize> = (0..machine.days.len()).filter(|d| d % 2 == odd).collect();
        if let Err(why) = program::learn(&paths(machine, &days), chart) {
            println!("  no faults put in: {why}");
            return Ok(());
        }
    }
    let wanted: Vec<_> =
        faults::ALL.iter().filter(|(wrong, ..)| !coarse || wrong.is_seen_by_the_minute()).collect();
    let days: Vec<(usize, &Day)> = machine.days.iter().enumerate().collect();
    let counted = in_parallel(&days, |_, &(n, day)| {
        let cycles = program::whole_cycles(&day.path)?;
        let mut counts: Vec<Faults> = wanted.iter().map(|_| Faults::default()).collect();
        for (k, (&&(wrong, _, named), counts)) in wanted.iter().zip(&mut counts).enumerate() {
            let seed = (n * faults::ALL.len() + k) as u64;
            let Some(cycle) = cycles.get(seed as usize % cycles.len().max(1)) else {
                counts.leave_out("the day has no whole cycle");
                continue;
            };
            match faults::put(wrong, &day.rows, cycle, seed) {
                Ok(rows) => {
                    let file = kept.join(format!("fault-{n}-{k}.csv"));
                    std::fs::write(&file, csv(&rows)).map_err(|e| e.to_string())?;
                    let said = program::check(&file, Some(&charts[1 - n % 2]))?;
                    counts.add(&day.path, &said, (cycle[0].start, cycle[cycle.len() - 1].end), named);
                }
                Err(why) => counts.leave_out(why),
            }
        }
        Ok(counts)
    })?;
    let mut every = Faults::default();
    for (k, (_, name, _)) in wanted.iter().enumerate() {
        let mut total = Faults::default();
        counted.iter().for_each(|day| total.join(&day[k]));
        every.join(&total);
        print!("{}", total.row(name));
        if asked.tell {
            print!("{}", total.told());
        }
    }
    print!("{}", every.row("all faults"));
    Ok(())
}

/// Every machine's days against charts of all days of each other machine.
fn strangers(all: &[Machine], kept: &Path) -> Result<(), String> {
    for of in all {
        let chart = kept.join("stranger.chart.toml");
        let days: Vec<usize> = (0..of.days.len()).collect();
        if let Err(why) = program::learn(&paths(of, &days), &chart) {
            println!("  no chart of {}: {why}", of.name);
            continue;
        }
        for machine in all.iter().filter(|m| m.name != of.name) {
            let days = in_parallel(&machine.days, |_, day| {
                let mut counts = Healthy::default();
                counts.add(&day.path, program::check(&day.path, Some(&chart))?);
                Ok(counts)
            })?;
            let row = joined(days).row(&format!("{} by {}", machine.name, of.name));
            println!("{}", row.lines().next().unwrap_or_default());
        }
    }
    Ok(())
}

fn joined(counts: Vec<Healthy>) -> Healthy {
    let mut total = Healthy::default();
    counts.into_iter().for_each(|c| total.join(c));
    total
}

fn paths<'a>(machine: &'a Machine, days: &[usize]) -> Vec<&'a Path> {
    days.iter().map(|&d| machine.days[d].path.as_path()).collect()
}

/// Works on all of them, on all cores; what comes out stands in their order.
fn in_parallel<T: Sync, R: Send>(
    all: &[T],
    work: impl Fn(usize, &T) -> Result<R, String> + Sync,
) -> Result<Vec<R>, String> {
    all.par_iter().enumerate().map(|(n, one)| work(n, one)).collect()
}
