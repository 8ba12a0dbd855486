//! `cargo xtask sheets [--seeds A..B] [--tell]`: simulated machines held against the sheet that their paper would be, healthy and with plain faults.

use std::ops::Range;
use std::process::ExitCode;

use rayon::prelude::*;
use tubtrace_tests::paper::{Counted, Plain, faulty, healthy, more_rinses, of_another};

/// Healthy runs of each machine.
const RUNS: usize = 3;

fn main() -> ExitCode {
    let Some((seeds, tell)) = wanted() else {
        eprintln!("cargo xtask sheets [--seeds A..B] [--tell]");
        return ExitCode::from(2);
    };
    println!(
        "{:<16} {:>6} {:>6} {:>7} {:>8} {:>11} {:>9}",
        "", "cycles", "within", "unknown", "depart", "right first", "explained"
    );
    let of = |work: &(dyn Fn(u64, &mut Counted) + Sync)| -> Vec<Counted> {
        let count = |seed| {
            let mut counted = Counted::default();
            work(seed, &mut counted);
            counted
        };
        seeds.clone().into_par_iter().map(count).collect()
    };
    let show = |name: &str, all: Vec<Counted>| {
        let sum = |of: fn(&Counted) -> usize| all.iter().map(of).sum::<usize>();
        let (cycles, within, unknown) = (sum(|c| c.cycles), sum(|c| c.within), sum(|c| c.unknown));
        let (departing, right) = (sum(|c| c.departing), sum(|c| c.right_first));
        println!(
            "{name:<16} {cycles:>6} {within:>6} {unknown:>7} {departing:>8} {right:>11} {:>9}",
            sum(|c| c.explained)
        );
        if tell {
            all.iter().flat_map(|c| &c.told).for_each(|told| println!("{told}"));
        }
    };
    show("healthy", of(&|seed, counted| healthy(seed, RUNS, counted)));
    show("a rinse fewer", of(&|seed, counted| more_rinses(seed, RUNS, counted)));
    show("another's sheet", of(&|seed, counted| of_another(seed, RUNS, counted)));
    for plain in Plain::ALL {
        let name = match plain {
            Plain::Of(fault) => format!("{fault:?}"),
            Plain::LongDrain => "LongDrain".to_owned(),
        };
        show(&name, of(&|seed, counted| faulty(seed, plain, counted)));
    }
    ExitCode::SUCCESS
}

fn wanted() -> Option<(Range<u64>, bool)> {
    let (mut seeds, mut tell) = (400..404, false);
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--tell" => tell = true,
            "--seeds" => {
                let text = words.next()?;
                let (from, to) = text.split_once("..")?;
                seeds = from.parse().ok()?..to.parse().ok()?;
            }
            _ => return None,
        }
    }
    Some((seeds, tell))
}
