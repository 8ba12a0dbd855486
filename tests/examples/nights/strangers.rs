//! Days of the second world, which have one to three cycles each, as a meter of whole watts reads them every second.

use std::ffi::OsStr;
use std::sync::Mutex;

use ::strangers::kinds::Kind;
use ::strangers::machine::{DrainBy, FillBy, Machine};
use ::strangers::meter::Meter;
use rayon::prelude::*;
use tubtrace_tests::program::check_with;
use tubtrace_tests::second_world::{KINDS, day, faults, truth};
use tubtrace_tests::{cannot_be_told, causes_named};

use super::Wanted;
use super::figures::{Figures, Worked};

/// Seeds that may be looked at.
const OPEN: std::ops::Range<u64> = 1..2;

const GROUP: &str = "second world, watts at 1 Hz";

pub fn nights(wanted: &Wanted, figures: &Mutex<Figures>) -> Result<(), String> {
    let all = || std::iter::once(None).chain(faults().filter(|f| wanted.has(f)).map(Some));
    let kinds = KINDS.iter().filter(|kind| kind.name.contains(&wanted.machine));
    let nights: Vec<_> = kinds
        .flat_map(|kind| wanted.seeds(OPEN).map(move |seed| (kind, seed)))
        .flat_map(|(kind, seed)| all().map(move |fault| (kind, seed, fault)))
        .collect();
    nights.par_iter().try_for_each(|&(kind, seed, fault)| night(wanted, kind, seed, fault, figures))
}

fn night(
    wanted: &Wanted,
    kind: &Kind,
    seed: u64,
    fault: Option<&'static str>,
    figures: &Mutex<Figures>,
) -> Result<(), String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let file = day(kind, seed, Meter::OneWatt, folder.path(), fault).map_err(|e| e.to_string())?;
    let cycles = truth::read(&file)?.cycles;
    let finished = cycles.iter().filter(|c| c.fault.is_some()).all(|c| c.finished);
    let alone = cycles.len() == 1;
    let faulty: Vec<_> = cycles.iter().filter(|c| c.fault.is_some()).map(|c| (c.start, c.end)).collect();
    let locked = || figures.lock().map_err(|_| "a thread broke off");
    if fault.is_some() && faulty.is_empty() {
        locked()?.leave_out(GROUP, "the fault changes nothing in any cycle of the day");
        return Ok(());
    }
    // As a technician reads it from the machine's plate: what it takes while it heats, element and pump.
    let machine = kind.machine(seed);
    let rated = format!("{:.0}", machine.heater.watts + machine.wash.watts);
    wanted.kept(&file, &format!("{} {seed} {} {rated} W", kind.name, fault.unwrap_or("healthy")))?;
    let said = check_with(&file, &["--rated-watts", &rated].map(OsStr::new))?;
    let worked = Worked {
        group: GROUP.to_owned(),
        machine: kind.name.to_owned(),
        name: format!("{} {seed}, {} cycles", kind.name, cycles.len()),
        fault: fault.map(|f| (f.to_owned(), causes_named(f))),
        untold: fault.and_then(|f| cannot_be_told(f).or_else(|| by_the_clock(f, &machine, finished, alone))),
        faulty,
    };
    locked()?.add(&worked, &said);
    Ok(())
}

/// Why nobody can tell what a machine does not notice: it does everything by the clock, with the fault as without, and comes to its end. What
/// is left in the tub shows in the next cycle, if there is one.
fn by_the_clock(fault: &str, machine: &Machine, finished: bool, alone: bool) -> Option<&'static str> {
    let fills = matches!(machine.valve.by, FillBy::Time | FillBy::Float);
    let drains = matches!(machine.drain.by, DrainBy::Time(_)) && !machine.control.notices_drain;
    match fault {
        "slow-fill" | "no-fill" if fills && finished => {
            Some("it fills by the clock, and runs through with little water, or none")
        }
        "long-drain" if drains && finished && alone => {
            Some("it drains by the clock, and runs through with some water left")
        }
        _ => None,
    }
}
