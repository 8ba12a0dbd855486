//! Programmes that nobody taught: of the programmes that the program finds on all days of a machine, each in turn is left out of what it is
//! taught, and its cycles ought to be called of no known programme.

use std::collections::BTreeMap;
use std::path::Path;

use tubtrace_tests::program::{self, Said, Verdict};

use crate::{in_parallel, paths};
use tubtrace_tests::real::readings::Machine;

/// A programme of fewer cycles may be one cycle that was cut or interrupted, and no programme.
const FEWEST: usize = 2;

/// How cycles of a programme that was not taught were judged, and those of the others, that were.
#[derive(Default)]
struct Counts {
    cycles: u32,
    unknown: u32,
    departing: u32,
}

impl Counts {
    fn add(&mut self, said: &Verdict) {
        self.cycles += 1;
        self.unknown += u32::from(said.unknown);
        self.departing += u32::from(said.departs);
    }
}

/// Prints a line for each programme of the machine.
pub fn untaught(machine: &Machine, kept: &Path) -> Result<(), String> {
    let file = kept.join("all.machine.toml");
    let all: Vec<usize> = (0..machine.days.len()).collect();
    if let Err(why) = program::learn(&paths(machine, &all), &file) {
        println!("  no programme left out: {why}");
        return Ok(());
    }
    let days = said(machine, &all, &file)?;
    let programmes = programmes(&days);
    println!("  programmes found on all days: {}", programmes.len());
    let mut left_out = 0;
    for (programme, own) in &programmes {
        let others: Vec<usize> = all.iter().copied().filter(|day| !own.contains_key(day)).collect();
        let cycles: usize = own.values().map(Vec::len).sum();
        if programmes.len() < 2 || cycles < FEWEST {
            left_out += 1;
            continue;
        }
        let without = kept.join("without.machine.toml");
        if let Err(why) = program::learn(&paths(machine, &others), &without) {
            println!("  without {programme}: {why}");
            continue;
        }
        let with_it: Vec<usize> = own.keys().copied().collect();
        let (mut of_it, mut of_others) = (Counts::default(), Counts::default());
        for (day, again) in with_it.iter().zip(said(machine, &with_it, &without)?) {
            for verdict in &again {
                let is = |start: &f64| (start - verdict.start).abs() < 60.0;
                if own[day].iter().any(is) { of_it.add(verdict) } else { of_others.add(verdict) }
            }
        }
        println!(
            "  without {programme}: {} cycles, {} called of no known programme, {} depart; others on its days: {}, {} and {}; learned from {} days",
            of_it.cycles,
            of_it.unknown,
            of_it.departing,
            of_others.cycles,
            of_others.unknown,
            of_others.departing,
            others.len()
        );
    }
    if left_out > 0 {
        println!("  not left out, being the only one or of one cycle: {left_out}");
    }
    Ok(())
}

/// Of each day what is said of its cycles; nothing of a day that has no verdict.
fn said(machine: &Machine, days: &[usize], file: &Path) -> Result<Vec<Vec<Verdict>>, String> {
    in_parallel(days, |_, &day| {
        Ok(match program::check(&machine.days[day].path, Some(file))? {
            Said::Cycles(cycles) => cycles,
            Said::Nothing(_) => Vec::new(),
        })
    })
}

/// Of each programme the days on which it ran, with the starts of its cycles.
fn programmes(days: &[Vec<Verdict>]) -> BTreeMap<String, BTreeMap<usize, Vec<f64>>> {
    let mut programmes: BTreeMap<String, BTreeMap<usize, Vec<f64>>> = BTreeMap::new();
    for (day, verdict) in days.iter().enumerate().flat_map(|(day, said)| said.iter().map(move |v| (day, v))) {
        if let Some(programme) = &verdict.programme {
            programmes.entry(programme.clone()).or_default().entry(day).or_default().push(verdict.start);
        }
    }
    programmes
}
