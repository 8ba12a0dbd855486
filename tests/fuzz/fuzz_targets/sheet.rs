//! Any bytes as a sheet: no panic, a sheet that is read is written and read back the same, and its chart is one that can be kept.
#![no_main]

use libfuzzer_sys::fuzz_target;
use tubtrace::chart::{Machine, to_toml};
use tubtrace::sheet::{chart, parse, to_text};

fuzz_target!(|bytes: &[u8]| {
    let Ok(paper) = parse(bytes) else { return };
    let again = parse(to_text(&paper).as_bytes()).expect("what is written can be read");
    let says = |paper: &tubtrace::sheet::Paper| paper.lines.iter().map(|l| l.says.clone()).collect::<Vec<_>>();
    assert_eq!(says(&again), says(&paper));
    if let Ok(drawn) = chart(&paper) {
        let machine = Machine::from(drawn.chart);
        assert_eq!(tubtrace::chart::parse(&to_toml(&machine), "written").expect("it can be kept"), machine);
    }
});
