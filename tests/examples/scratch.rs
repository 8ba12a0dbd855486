//! scratch
use tubtrace::analysis::Analysis;
use tubtrace::log::{Assumptions, read};
fn main() {
    let m = tubtrace::chart::read(std::path::Path::new(&std::env::args().nth(1).unwrap())).unwrap();
    for d in std::env::args().skip(2) {
        let log = read(std::path::Path::new(&d), Assumptions::default()).unwrap();
        for c in Analysis::of(&log.trace).cycles {
            let m = tubtrace::programme::for_readings(&m, c.resolution);
            let r = tubtrace::programme::recognise(&m, &c);
            println!(
                "{d} {} odds {:.1} cost {:.1} phases {} {:?}",
                r.programme,
                r.odds,
                r.explanation.cost,
                r.explanation.phases.len(),
                r.explanation.steps.iter().map(|s| format!("{s:?}")).collect::<Vec<_>>().join("\n   ")
            );
        }
    }
}
