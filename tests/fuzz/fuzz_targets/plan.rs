//! Any text as a plan of the bench: no panic, and what is read can be meant.
#![no_main]

use libfuzzer_sys::fuzz_target;
use tubtrace::bench::parse;

fuzz_target!(|text: &str| {
    if let Ok(plan) = parse(text, "fuzz") {
        assert!(plan.count() >= 1 && (0.5..=0.9999).contains(&plan.confidence));
        assert!(plan.limits.iter().all(|own| own.lasts.low <= own.lasts.high));
    }
});
