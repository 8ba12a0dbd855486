//! The `tubtrace` command.
fn main() {
    for a in std::env::args().skip(1) {
        let l = tubtrace::log::read(a.as_ref(), Default::default()).unwrap();
        let f = tubtrace::loads::find(&l.trace);
        let c = tubtrace::intervals::form(&l.trace, &f);
        println!("{a} {:?}", f.levels);
        for c in &c {
            println!("cycle {:.1} min {:?}", c.duration().0 / 60.0, c.idle_supply_noise);
            for s in &c.intervals {
                println!(
                    "  {} {:8.1} {:6} {:24} {:.2} {} {:.0} {:.1?} {:?}",
                    tubtrace::report::duration(s.start),
                    (s.end - s.start).0,
                    s.kind,
                    s.loads,
                    s.certainty,
                    s.water,
                    s.measured.power,
                    s.measured.supply.or(s.measured.drain).map(|s| (s.water.0, s.lag.0, s.uncertainty.0)),
                    s.measured.drain_noise
                );
            }
        }
    }
}
