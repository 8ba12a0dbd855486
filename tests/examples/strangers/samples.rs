//! Raw samples of one cycle of a machine, through the program's own import of WAV: loads, and the uncertainty of what is measured.
//! The second world has no temperature clips.

use strangers::args::Args;
use strangers::kinds::Kind;
use strangers::samples::write;
use tubtrace::analysis::Analysis;
use tubtrace::log::{Assumptions, Scale, from_wav, parse};
use tubtrace::trace::Meter;
use tubtrace_core::MIDSCALE;
use tubtrace_core::metering::Calibration;
use tubtrace_tests::program::Interval;
use tubtrace_units::Volts;

use super::figures::{Sums, Told};
use tubtrace_tests::second_world::truth::read_from;

/// Part of the time that is wanted to be right.
const WANTED: f64 = 0.98;

/// One machine: a recording of a healthy cycle. The volts are given, as from a nameplate.
pub fn machine(kind: &'static Kind, seed: u64, tell: bool) -> Result<Sums, String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let (out, kind_name) = (folder.path().to_owned(), kind.name.to_owned());
    let args = Args { samples: true, kind: kind_name, seed, out, ..Args::default() };
    let machine = kind.machine(seed);
    let written = write(&args, &machine).map_err(|e| e.to_string())?;
    let board = f64::from(Calibration::NOMINAL.microamps_per_count()) * 1e-6 * f64::from(MIDSCALE);
    let scale = Scale([args.full_scale / board, 1.0, 1.0, 1.0]);
    let (bytes, _) = from_wav(&written.wav, scale, |_| {}).map_err(|e| e.to_string())?;
    let volts = Some(Volts(machine.volts));
    let log = parse(&bytes, Assumptions { volts }).map_err(|e| e.to_string())?;
    let analysis = Analysis::of(&log.trace);
    let cycles: Vec<Vec<Interval>> =
        analysis.cycles.iter().map(|c| c.intervals.iter().map(Interval::from).collect()).collect();
    let truth = read_from(&written.truth, &written.start)?;
    let mut sums = Sums::of_a_machine();
    let resolution = log.trace.resolution.0;
    sums.compare(&truth, &cycles, written.seconds, resolution, Meter::Current);
    if tell {
        println!("{} {seed}: {}; {:?}", kind.name, sums.row_of_loads(""), analysis.loads.levels);
        for Told { start, seconds, really, stated, certainty } in
            sums.misread(&truth, &cycles, written.seconds)
        {
            println!(
                "{} {seed}, {start:.0} s, for {seconds:.0} s: {stated} at {certainty:.2}, really {really}",
                kind.name
            );
        }
    }
    Ok(sums)
}

/// Prints everything; gives the sums of all kinds.
pub fn print(kinds: &[&'static Kind], sums: &[Sums]) -> Sums {
    let mut all = Sums::default();
    println!(
        "| kind | recordings with one cycle | right loads | right where sure (of the time) | Brier | log loss |"
    );
    println!("|---|---|---|---|---|---|");
    for (kind, of_kind) in kinds.iter().zip(sums) {
        println!("{}", of_kind.row_of_loads(kind.name));
        all.join(of_kind);
    }
    println!("{}", all.row_of_loads("all"));
    println!("\n{}\n{}", all.reliability.table(), all.coverage.table());
    let count = |of: &dyn Fn(&Sums) -> bool| sums.iter().filter(|s| of(s)).count();
    println!(
        "{:.0} % of the time are right of {} kinds of {}; what is stated at 0.95 and more is right at least as often of {}",
        100.0 * WANTED,
        count(&|s| s.is_right(WANTED)),
        sums.len(),
        count(&Sums::is_sure_rightly)
    );
    all
}
