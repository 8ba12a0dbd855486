//! Any bytes as a WAV: no panic, and a log that is made of it can be read.
#![no_main]

use libfuzzer_sys::fuzz_target;
use tubtrace::log::{Assumptions, Scale, from_wav_reader, parse};

fuzz_target!(|bytes: &[u8]| {
    if let Ok((log, _)) = from_wav_reader(bytes, "fuzz", Scale::default(), |_| {}) {
        let _ = parse(&log, Assumptions::default());
    }
});
