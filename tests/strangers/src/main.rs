//! The command-line program; see the README.
#![forbid(unsafe_code)]

use std::process::ExitCode;
use strangers::args::{Args, USAGE};
use strangers::frame::ALL;
use strangers::machine::Machine;
use strangers::{fault, kinds, meter, output, samples};

fn list() {
    println!("Kinds:");
    for k in kinds::KINDS {
        println!("  {:<16} {}", k.name, k.sentence);
    }
    println!("Meters:");
    for m in meter::METERS {
        println!("  {:<16} {}", m.0, m.2);
    }
    println!("Faults:");
    for f in fault::FAULTS {
        println!("  {}", f.0);
    }
}

fn account(args: &Args, m: &Machine) -> std::io::Result<()> {
    output::days(args, m, |n, _, record| {
        for ((name, sums), p) in output::energy(&record).iter().zip(&record.cycles) {
            let c = &p.cycle;
            print!("day {n} {name:<12} {:>5.1} min", c.end as f64 / 600.0);
            print!(" {:>5.1} kg in, {}", c.plant.taken, c.how);
            for (load, wh) in ALL.iter().zip(sums).filter(|(_, wh)| **wh > 0.05) {
                print!(", {} {wh:.1} Wh", load.words().1);
            }
            println!(" {}", c.fault.map_or("", fault::Fault::name));
        }
        Ok(())
    })
}

fn work(args: &Args, kind: &kinds::Kind) -> std::io::Result<()> {
    let m = kind.machine(args.seed);
    if args.account {
        account(args, &m)
    } else if args.samples {
        samples::write(args, &m).map(|w| print!("{}\n{}", w.wav.display(), w.about))
    } else {
        output::write(args, &m)
    }
}

fn run() -> Result<(), String> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let args = Args::parse(&words).map_err(|e| format!("{e}\n{USAGE}"))?;
    if args.list {
        list();
        return Ok(());
    }
    let kind = kinds::named(&args.kind).ok_or(format!("no kind {}; try --list", args.kind))?;
    work(&args, kind).map_err(|e| e.to_string())
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}
