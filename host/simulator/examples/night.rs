//! Times the simulator: `cargo run --release -p tubtrace-simulator --example night`.
use std::time::Instant;
use tubtrace_simulator::{board::record, scenario::Night};
use tubtrace_units::Seconds;
fn main() {
    let begin = Instant::now();
    let mut last = Seconds(0.0);
    let r = record(&Night::demo(1), 0, |t| last = t).unwrap();
    let t = begin.elapsed().as_secs_f64();
    println!("{:.1} h in {t:.1} s = {:.0} x real time, {} bytes", last.0 / 3600.0, last.0 / t, r.log.len());
    for c in &r.truth.cycles {
        println!("{:.0} {:.0} {:?} {:.0} min", c.start.0, c.end.0, c.fault(), (c.end - c.start).0 / 60.0);
    }
    std::fs::write("/tmp/night.tub", &r.log).unwrap();
    for i in r.truth.intervals.iter().filter(|i| i.start.0 < 5500.0) {
        println!("{:8.1} {:8.1} {:?} {}", i.start.0, i.end.0, i.doing, i.loads);
    }
}
