//! Nights of the own simulator: with all channels, and from the current alone.

use std::ffi::OsStr;
use std::sync::Mutex;

use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use rayon::prelude::*;
use tubtrace::log::{Assumptions, parse, to_tub};
use tubtrace_simulator::board::record;
use tubtrace_simulator::machine::{Fault, Trouble};
use tubtrace_simulator::scenario::{Case, Night};
use tubtrace_tests::program::check_with;
use tubtrace_tests::score::current_alone;
use tubtrace_tests::{cannot_be_told, causes_of, is_heard_or_felt};
use tubtrace_units::Seconds;

use super::Wanted;
use super::figures::{Figures, Worked};

/// Seeds that may be looked at.
const OPEN: std::ops::Range<u64> = 300..303;

/// Every fault, in the order in which it is declared, and health.
fn all() -> impl Iterator<Item = Option<Fault>> {
    std::iter::once(None).chain(Fault::all().map(Some))
}

pub fn nights(wanted: &Wanted, figures: &Mutex<Figures>) -> Result<(), String> {
    let has = |fault: Option<Fault>| fault.is_none_or(|f| wanted.has(&format!("{f:?}")));
    let nights: Vec<_> = wanted
        .seeds(OPEN)
        .flat_map(|seed| all().filter(|f| has(*f)).map(move |fault| (seed, fault)))
        .collect();
    nights.par_iter().try_for_each(|&(seed, fault)| night(wanted, seed, fault, figures))
}

/// The night of a seed: as many runs, and as many of them with the fault, as the seed says.
fn drawn(seed: u64, fault: Option<Fault>) -> (Night, Vec<usize>) {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(seed ^ fault.map_or(0, |f| 1 + f as u64) << 32);
    let runs = random.random_range(1..=3_usize);
    let mut night = Night::healthy(random.random(), Case::draw(seed).good.appliance, runs);
    let Some(fault) = fault else { return (night, Vec::new()) };
    // Nothing comes after an empty battery.
    let one = if fault == Fault::BatteryDied { runs - 1 } else { random.random_range(0..runs) };
    let all = random.random_bool(0.5) && !happens_once(fault);
    let faulty: Vec<usize> = (0..runs).filter(|run| all || *run == one).collect();
    for &run in &faulty {
        night.plans[run].trouble = Some(Trouble::from(fault));
    }
    (night, faulty)
}

/// What befalls one run, and does not come again the same night.
fn happens_once(fault: Fault) -> bool {
    matches!(
        fault,
        Fault::StopAndRestart
            | Fault::StopsHalfway
            | Fault::DoorOpened
            | Fault::PowerDropout
            | Fault::ClampFellOff
            | Fault::BatteryDied
    )
}

fn night(wanted: &Wanted, seed: u64, fault: Option<Fault>, figures: &Mutex<Figures>) -> Result<(), String> {
    let (night, faulty) = drawn(seed, fault);
    let recording = record(&night, 1_800_000_000_000, |_| {}).map_err(|e| format!("seed {seed}: {e:?}"))?;
    // As a technician reads them from the nameplate.
    let volts = night.appliance.volts;
    let log = parse(&recording.log, Assumptions { volts: Some(volts) }).map_err(|e| e.to_string())?;
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    // The machine's plate says what it takes while it heats, element and pump.
    let pump = volts.0 * night.appliance.wash_pump.amps.0;
    let rated = format!("{:.0}", volts.0 * volts.0 / night.appliance.heater.0 + pump);
    let (volts, name) = (format!("{:.0}", volts.0), format!("seed {seed}, {} runs", night.plans.len()));
    for (group, bytes) in [
        ("own simulator, all channels", recording.log),
        ("own simulator, current alone", to_tub(&current_alone(&log.trace), "")),
    ] {
        if group.ends_with("alone") && fault.is_some_and(is_heard_or_felt) {
            figures
                .lock()
                .map_err(|_| "a thread broke off")?
                .leave_out(group, "what the current does not show");
            continue;
        }
        let file = folder.path().join("night.tub");
        std::fs::write(&file, bytes).map_err(|e| e.to_string())?;
        let what = fault.map_or_else(|| "healthy".to_owned(), |f| format!("{f:?}"));
        let channels = group.rsplit(", ").next().unwrap_or_default();
        wanted.kept(&file, &format!("{seed} {what} {channels} {volts} V {rated} W"))?;
        let said = check_with(&file, &["--volts", &volts, "--rated-watts", &rated].map(OsStr::new))?;
        let times: Vec<(Seconds, Seconds)> = faulty
            .iter()
            .filter_map(|run| recording.truth.cycles.get(*run).map(|c| (c.start, c.end)))
            .collect();
        let worked = Worked {
            group: group.to_owned(),
            machine: String::new(),
            name: name.clone(),
            fault: fault.map(|f| (format!("{f:?}"), causes_of(f))),
            untold: fault.and_then(|f| cannot_be_told(&format!("{f:?}"))),
            faulty: times.iter().map(|(from, to)| (from.0, to.0)).collect(),
        };
        figures.lock().map_err(|_| "a thread broke off")?.add(&worked, &said);
    }
    Ok(())
}
