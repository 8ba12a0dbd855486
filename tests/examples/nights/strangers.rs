//! Days of the second world, which have one to three cycles each, as a meter of whole watts reads them every second.

use std::ffi::OsStr;
use std::sync::Mutex;

use ::strangers::kinds::Kind;
use ::strangers::meter::Meter;
use rayon::prelude::*;
use tubtrace_tests::causes_named;
use tubtrace_tests::program::check_with;
use tubtrace_tests::second_world::{KINDS, day, faults, truth};

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
    nights.par_iter().try_for_each(|&(kind, seed, fault)| night(kind, seed, fault, figures))
}

fn night(
    kind: &Kind,
    seed: u64,
    fault: Option<&'static str>,
    figures: &Mutex<Figures>,
) -> Result<(), String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let file = day(kind, seed, Meter::OneWatt, folder.path(), fault).map_err(|e| e.to_string())?;
    let cycles = truth::read(&file)?.cycles;
    let faulty: Vec<_> = cycles.iter().filter(|c| c.fault.is_some()).map(|c| (c.start, c.end)).collect();
    let locked = || figures.lock().map_err(|_| "a thread broke off");
    if fault.is_some() && faulty.is_empty() {
        locked()?.leave_out(GROUP, "the fault changes nothing in any cycle of the day");
        return Ok(());
    }
    // As a technician reads it from the machine's plate: what it takes while it heats, element and pump.
    let machine = kind.machine(seed);
    let rated = format!("{:.0}", machine.heater.watts + machine.wash.watts);
    let said = check_with(&file, &["--rated-watts", &rated].map(OsStr::new))?;
    let worked = Worked {
        group: GROUP.to_owned(),
        machine: kind.name.to_owned(),
        name: format!("{} {seed}, {} cycles", kind.name, cycles.len()),
        fault: fault.map(|f| (f.to_owned(), causes_named(f))),
        faulty,
    };
    locked()?.add(&worked, &said);
    Ok(())
}
