//! The `tubtrace` command.
use tubtrace::findings::*;
fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let split = args.iter().position(|a| a == "--").unwrap_or(0);
    let mut good = vec![];
    let mut res = tubtrace_units::Seconds(0.1);
    for a in &args[..split] {
        let l = tubtrace::log::read(a.as_ref(), Default::default()).unwrap();
        let f = tubtrace::loads::find(&l.trace);
        res = l.trace.resolution;
        good.extend(tubtrace::intervals::form(&l.trace, &f));
    }
    let chart = if good.is_empty() {
        tubtrace::chart::read("host/charts/invented-120v-heavy.chart.toml".as_ref()).unwrap()
    } else {
        let l = tubtrace::learn::learn(&good.iter().collect::<Vec<_>>(), "x", res).unwrap();
        if std::env::var("C").is_ok() {
            println!("{:?}\n{}", l.left_out, tubtrace::chart::to_toml(&l.chart));
        }
        l.chart
    };
    for a in &args[split..] {
        if a == "--" {
            continue;
        }
        let l = tubtrace::log::read(a.as_ref(), Default::default()).unwrap();
        let f = tubtrace::loads::find(&l.trace);
        let c = tubtrace::intervals::form(&l.trace, &f);
        println!("{a}");
        let quiet_supply = c.iter().filter_map(|c| c.idle_supply_noise).min_by(|a, b| a.0.total_cmp(&b.0));
        for c in &c {
            let j = judge(&chart, c, Surroundings { resolution: l.trace.resolution, quiet_supply });
            println!(
                "cycle {:.1} min {:?} cost {:.1} cut {} {}",
                c.duration().0 / 60.0,
                c.idle_supply_noise,
                j.explanation.cost,
                c.cut_at_start,
                c.cut_at_end
            );
            for f in &j.findings {
                println!(
                    "   {} {} [{}] {} measured {} expected {:?}..{:?} U {} p {:.2} {}",
                    f.departure,
                    f.interval,
                    f.does,
                    tubtrace::report::duration(f.start),
                    f.measured,
                    f.expected.0.map(|q| q.to_string()),
                    f.expected.1.map(|q| q.to_string()),
                    f.uncertainty,
                    f.certainty,
                    f.advice.suspects[0].word
                );
            }
            if std::env::var("V").is_ok() {
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
}
