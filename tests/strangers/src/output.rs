//! Writing the files of a run.

use crate::args::Args;
use crate::carry::Carry;
use crate::clock::iso;
use crate::day::{self, Record};
use crate::fault::{FAULTS, Fault, Trouble};
use crate::frame::LOADS;
use crate::house;
use crate::machine::Machine;
use crate::meter::{self, Reading};
use crate::rng::Rng;
use crate::truth;
use std::fs;
use std::io::{self, BufWriter, Write};
use std::path::Path;

/// The first day of a seed, in days since 1970: an invented date in the 2030s.
pub fn first_day(seed: u64) -> i64 {
    21_915 + (Rng::stream(seed, "date", 0, 0).unit() * 3600.0) as i64
}

/// The trouble of a day under the wish of the command line.
fn trouble(args: &Args, day: usize) -> Option<Trouble> {
    if day <= args.healthy_days {
        return None;
    }
    // Each kind has strengths and sorts of its own under one seed.
    let seed = Rng::stream(args.seed, &args.kind, 9, 0).number();
    let mut t = match args.fault.as_deref()? {
        "mixed" => {
            let mut r = Rng::stream(seed, "mixed", day as u64, 0);
            if r.chance(0.6) {
                return None;
            }
            Trouble::draw(FAULTS[r.whole(0, FAULTS.len() - 1)].1, r.number())
        }
        name => Trouble::draw(Fault::named(name)?, seed),
    };
    t.severity = args.severity.unwrap_or(t.severity);
    Some(t)
}

/// The recordings of all days of a run, each handed on as soon as it is made.
pub fn days(
    args: &Args,
    m: &Machine,
    mut each: impl FnMut(usize, i64, Record) -> io::Result<()>,
) -> io::Result<()> {
    let mut carry = Carry::new(m, args.seed);
    let first = first_day(args.seed);
    for n in 1..=args.days {
        let record = day::make(m, &mut carry, n as u64, trouble(args, n));
        each(n, first + n as i64 - 1, record)?;
    }
    Ok(())
}

fn csv(path: &Path, date: i64, readings: &[Reading], decimals: usize) -> io::Result<()> {
    let mut out = BufWriter::new(fs::File::create(path)?);
    writeln!(out, "time,watts")?;
    for (t, w) in readings {
        writeln!(out, "{},{w:.decimals$}", iso(date, *t))?;
    }
    out.flush()
}

/// Write a run's recordings and truth into its folder.
pub fn write(args: &Args, m: &Machine) -> io::Result<()> {
    fs::create_dir_all(&args.out)?;
    fs::write(args.out.join("machine.txt"), format!("seed {}\n{m:#?}\n", args.seed))?;
    days(args, m, |n, date, mut record| {
        let visits = house::add(&mut record.watts, &args.house, args.seed, n as u64);
        let spans: Vec<(usize, usize)> =
            record.cycles.iter().map(|p| (p.start, p.start + p.cycle.end)).collect();
        let mut r = Rng::stream(args.seed, "meter", n as u64, 0);
        let readings = meter::read(args.meter, &record.watts, &spans, &mut r);
        let name = |end: &str| args.out.join(format!("day-{n:02}.{end}"));
        csv(&name("csv"), date, &readings, args.meter.decimals())?;
        let mut lines = truth::lines(date, &record, &visits);
        lines.push(String::new());
        fs::write(name("truth.jsonl"), lines.join("\n"))
    })
}

/// Kilowatt-hours of a cycle and of each load, for a short account on the screen.
pub fn energy(record: &Record) -> Vec<(&'static str, [f64; LOADS])> {
    let mut out = Vec::new();
    for p in &record.cycles {
        let mut sums = [0.0; LOADS];
        for f in &p.cycle.frames {
            for (s, w) in sums.iter_mut().zip(&f.watts) {
                *s += f64::from(*w) / 36_000.0;
            }
        }
        out.push((p.cycle.programme, sums));
    }
    out
}
