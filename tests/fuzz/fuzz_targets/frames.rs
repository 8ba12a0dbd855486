//! Frames out of any bytes: no panic, and what is read can be written again.
#![no_main]

use libfuzzer_sys::fuzz_target;
use tubtrace_protocol::{Item, MAX_FRAME, Reader, encode};

fuzz_target!(|bytes: &[u8]| {
    let mut reader = Reader::default();
    let mut check = |item| {
        if let Item::Record(record) = item {
            encode(&record, &mut [0; MAX_FRAME]).expect("what was read fits a frame");
        }
    };
    reader.push(bytes, &mut check);
    reader.finish(&mut check);
});
