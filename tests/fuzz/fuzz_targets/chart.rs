//! Any text as a chart: no panic, and a chart that is read is written and read back the same.
#![no_main]

use libfuzzer_sys::fuzz_target;
use tubtrace::chart::{parse, to_toml};

fuzz_target!(|text: &str| {
    if let Ok(chart) = parse(text, "fuzz") {
        let again = parse(&to_toml(&chart), "written").expect("what is written can be read");
        assert_eq!(again.parts.len(), chart.parts.len());
    }
});
