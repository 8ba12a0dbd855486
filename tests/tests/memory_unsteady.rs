//! What inferring the loads of unsteady readings costs in memory. By itself in its process, whose high-water mark never falls.

use tubtrace::analysis::Analysis;
use tubtrace::log::{Assumptions, parse};

/// The most that this process has held so far, bytes; none where nothing tells.
fn high_water() -> Option<usize> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    Some(line.trim().strip_suffix("kB")?.trim().parse::<usize>().ok()? << 10)
}

/// Eight days of a machine that runs once in an hour, read ten percent up and down: about every second reading is a segment of its own. They
/// are worked in parts, and what a part costs does not grow with the file.
#[test]
fn unsteady_readings_cost_no_more_for_being_many() {
    let programme =
        [(600, 2.0), (60, 25.0), (900, 95.0), (600, 1_900.0), (300, 95.0), (60, 25.0), (1_080, 4.0)];
    let hour: Vec<f64> =
        programme.iter().flat_map(|&(lasts, watts)| std::iter::repeat_n(watts, lasts)).collect();
    let mut text = "time,watts\n".to_owned();
    for second in 0..8 * 86_400_usize {
        let part = (second.wrapping_mul(2_654_435_761) >> 8 & 0xffff) as f64 / 65_536.0;
        let watts = hour[second % hour.len()] * (0.9 + 0.2 * part);
        text.push_str(&format!("{},{watts:.0}\n", 1_700_000_000 + second));
    }
    let log = parse(text.as_bytes(), Assumptions::default()).unwrap();
    let before = high_water();
    let cycles = Analysis::of(&log.trace).cycles.len();
    assert!(cycles >= 8 * 24 - 1, "{cycles}");
    let (Some(before), Some(after)) = (before, high_water()) else {
        println!("skipped: nothing here tells how much memory is held");
        return;
    };
    println!("{} bytes beyond reading a file of {}", after - before, text.len());
    assert!(after - before <= 32 << 20, "{} bytes", after - before);
}
