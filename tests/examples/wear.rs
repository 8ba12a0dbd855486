//! `cargo xtask wear [DAYS]`: how often each sector of the chip is erased in a year of use, unless told otherwise: two runs a day, a memory
//! that is written every minute, a ring that lets the oldest go.

use std::collections::BTreeMap;

use embassy_futures::block_on;
use tubtrace_core::{Full, Memory, Storage};
use tubtrace_protocol::Tick;
use tubtrace_simulator::FailingFlash;
use tubtrace_simulator::machine::Appliance;
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::live;

/// 16 MiB in sectors of 4 KiB.
const SECTORS: usize = 4_096;

/// Sectors at the end for the memory, and before them one for what is being erased.
const MEMORY: usize = 4;

/// Erasures that a serial NOR chip stands, by its data sheets.
const ENDURANCE: u32 = 100_000;

fn main() {
    let days: u32 = std::env::args().nth(1).and_then(|d| d.parse().ok()).unwrap_or(365);
    let log = live(&Night::healthy(9, Appliance::on_120_volts(), 2)).recording.log;
    let frames: Vec<&[u8]> = log.split_inclusive(|&b| b == 0).collect();
    let flash = FailingFlash::new(SECTORS, 1);
    let size = flash.size();
    let mut storage = block_on(Storage::open(flash, size)).expect("an erased chip");
    storage.ring.set_full(Full::Overwrite);
    let mut minute = 0;
    for _ in 0..days {
        for frame in &frames {
            block_on(storage.ring.append_frame(frame)).expect("a chip that works");
        }
        for _ in 0..24 * 60 {
            minute += 1;
            block_on(storage.remember(&memory(minute))).expect("a chip that works");
        }
    }
    let flash = storage.ring.into_flash();
    let (ring, rest) = flash.erased().split_at(SECTORS - MEMORY - 1);
    println!("{days} days, {} bytes of log", u64::from(days) * log.len() as u64);
    for (what, sectors) in [("ring", ring), ("erasures", &rest[..1]), ("memory", &rest[1..])] {
        let mut histogram = BTreeMap::new();
        sectors.iter().for_each(|erased| *histogram.entry(*erased).or_insert(0u32) += 1);
        let told: Vec<String> = histogram.iter().map(|(erased, n)| format!("{n} x {erased}")).collect();
        let most = sectors.iter().max().copied().unwrap_or(0).max(1);
        let years = f64::from(ENDURANCE) / f64::from(most) * f64::from(days) / 365.0;
        println!("{what:10} sectors x erased: {}; {years:.0} years to {ENDURANCE}", told.join(", "));
    }
}

fn memory(minute: u32) -> Memory {
    Memory {
        logger: 7,
        recording: true,
        reserved: Tick(minute.wrapping_mul(600)),
        microamps_per_count: 16_113,
        full: Full::Overwrite,
        label: "a kitchen".try_into().expect("a short label"),
    }
}
