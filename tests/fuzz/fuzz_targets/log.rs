//! Any file as a log, .tub or CSV, worked to its timeline: no panic.
#![no_main]

use libfuzzer_sys::fuzz_target;
use tubtrace::analysis::Analysis;
use tubtrace::log::{Assumptions, parse};
use tubtrace::job::Job;
use tubtrace::report::{Subject, Units, timeline, timeline_json};

fuzz_target!(|bytes: &[u8]| {
    if let Ok(log) = parse(bytes, Assumptions::default()) {
        let cycles = Analysis::of(&log.trace).cycles;
        let subject = Subject { log: &log, cycles: &cycles, job: &Job::default(), inlet: None, units: Units::default(), strip: Some(80), width: 80 };
        let _ = (timeline(subject), timeline_json(subject));
    }
});
