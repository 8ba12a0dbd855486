//! Any rows as a meter's CSV, worked to its findings against a chart of itself: no panic.
#![no_main]

use libfuzzer_sys::fuzz_target;
use tubtrace::analysis::Analysis;
use tubtrace::findings::{Surroundings, judge};
use tubtrace::learn::learn;
use tubtrace::log::{Assumptions, parse};

fuzz_target!(|rows: &[u8]| {
    let csv = [b"time,watts,supply_c,drain_c\n", rows].concat();
    let Ok(log) = parse(&csv, Assumptions::default()) else { return };
    let cycles = Analysis::of(&log.trace).cycles;
    let all: Vec<_> = cycles.iter().collect();
    let Ok(learned) = learn(&all, "fuzz", log.trace.resolution) else { return };
    let surroundings = Surroundings::of(&log.trace, &cycles);
    for cycle in &cycles {
        let _ = judge(&learned.machine, cycle, surroundings);
    }
});
