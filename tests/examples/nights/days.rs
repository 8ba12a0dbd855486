//! Real days of one to three cycles, as they are and with a fault put in.

use std::sync::Mutex;

use rayon::prelude::*;
use tubtrace_tests::program::{check, whole_cycles};
use tubtrace_tests::real::faults::{ALL, put};
use tubtrace_tests::real::readings::{Day, Machine, csv, machines};
use tubtrace_tests::real::{cycles_folder, minutes_folder};
use tubtrace_tests::{cannot_be_told, causes_named};

use super::Wanted;
use super::figures::{Figures, Worked};

/// Readings further apart than this show no fill, drain or rinse.
const COARSE: f64 = 30.0;

/// A night has no more cycles than this.
const MOST: usize = 3;

pub fn nights(wanted: &Wanted, figures: &Mutex<Figures>) -> Result<(), String> {
    let mut all = Vec::new();
    for (name, folder) in [("every few seconds", cycles_folder()), ("a minute", minutes_folder())] {
        match folder {
            Some(folder) => all.extend(machines(&folder)?),
            None => println!("skipped: the environment names no folder of machines with a reading {name}"),
        }
    }
    all.retain(|machine| machine.name.contains(&wanted.machine));
    for machine in &all {
        let days: Vec<(usize, &Day)> = machine.days.iter().enumerate().collect();
        days.par_iter().try_for_each(|&(n, day)| of_day(wanted, machine, n, day, figures))?;
    }
    Ok(())
}

fn of_day(
    wanted: &Wanted,
    machine: &Machine,
    n: usize,
    day: &Day,
    figures: &Mutex<Figures>,
) -> Result<(), String> {
    let group = format!("real days, {}", machine.name);
    let locked = || figures.lock().map_err(|_| "a thread broke off".to_owned());
    let cycles = whole_cycles(&day.path)?;
    if cycles.is_empty() || cycles.len() > MOST {
        let why = if cycles.is_empty() { "days without a whole cycle" } else { "days of more than 3 cycles" };
        locked()?.leave_out(&group, why);
        return Ok(());
    }
    let name = day.path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let mut worked =
        Worked { group, machine: String::new(), name, fault: None, untold: None, faulty: Vec::new() };
    let said = check(&day.path, None)?;
    locked()?.add(&worked, &said);
    let coarse = machine.days[0].resolution() > COARSE;
    let kept = tempfile::tempdir().map_err(|e| e.to_string())?;
    for (k, (wrong, fault, _)) in ALL.iter().enumerate() {
        if !wanted.has(fault) || (coarse && !wrong.is_seen_by_the_minute()) {
            continue;
        }
        let seed = (n * ALL.len() + k) as u64;
        let cycle = &cycles[seed as usize % cycles.len()];
        match put(*wrong, &day.rows, cycle, seed) {
            Ok(rows) => {
                let file = kept.path().join("night.csv");
                std::fs::write(&file, csv(&rows)).map_err(|e| e.to_string())?;
                worked.fault = Some(((*fault).to_owned(), causes_named(fault)));
                worked.untold = cannot_be_told(fault);
                worked.faulty = vec![(cycle[0].start, cycle[cycle.len() - 1].end)];
                let said = check(&file, None)?;
                locked()?.add(&worked, &said);
            }
            Err(why) => locked()?.leave_out(&worked.group, &format!("{fault} not put in: {why}")),
        }
    }
    Ok(())
}
