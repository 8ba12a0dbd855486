//! Facts of the trade. Common practice, no source: each is marked so here and where the code uses it.

use tubtrace::chart::parse;
use tubtrace::intervals::Kind;
use tubtrace_simulator::Doing;
use tubtrace_simulator::machine::{Appliance, Fault};
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::live;
use tubtrace_units::{Load, Loads, Seconds};

/// A purge lasts 10 s while the wash pump runs: drain pump and fill valve in the first 5 s, the fill valve alone in
/// the last 5 s. It comes once or several times, and is told from a normal drain and fill.
#[test]
fn a_purge_is_told_from_a_drain_and_a_fill() {
    let night = live(&Night::healthy(5, Appliance::on_120_volts(), 3));
    let truth = &night.recording.truth;
    let purge: Vec<_> = truth.intervals.iter().filter(|i| i.doing == Doing::Purge).take(2).collect();
    let first = Loads::of(&[Load::WashPump, Load::DrainPump, Load::FillValve]);
    let second = Loads::of(&[Load::WashPump, Load::FillValve]);
    assert_eq!([purge[0].loads, purge[1].loads], [first, second], "as simulated");
    assert!(purge.iter().all(|p| ((p.end - p.start) - Seconds(5.0)).abs() < Seconds(0.02)));

    for (cycle, truth) in night.cycles.iter().zip(&truth.cycles) {
        let count = |kind| cycle.intervals.iter().filter(|i| i.kind == kind).count();
        assert_eq!(
            count(Kind::Purge),
            usize::from(truth.adaptation.purges + u8::from(truth.adaptation.prewash_purge))
        );
        // One fill and one drain for each water: no purge was taken for either.
        let waters = 4 + usize::from(truth.adaptation.extra_rinse);
        assert_eq!((count(Kind::Fill), count(Kind::Drain)), (waters, waters));
        for purge in cycle.intervals.iter().filter(|i| i.kind == Kind::Purge) {
            assert!((purge.duration() - Seconds(10.0)).abs() < Seconds(0.6), "{purge:?}");
        }
    }
}

/// Supply water of at least 49 degrees C (120 degrees F) at the end of the first fill: in the chart of the invented
/// machine, and found where it is not so.
#[test]
fn supply_water_is_at_least_49_degrees() {
    let chart = parse(include_str!("../../host/charts/invented-120v-heavy.chart.toml"), "chart").unwrap();
    let first = &chart.programmes[0].parts[0].intervals[0];
    assert_eq!((first.kind, first.supply.unwrap().low.0), (Kind::Fill, 49.0));
    assert!((first.supply.unwrap().low.fahrenheit() - 120.0).abs() < 0.5);

    let night = live(&Night::with_faults(6, Appliance::on_120_volts(), &[Fault::ColdSupply]));
    for (judged, truth) in night.judge(&chart).iter().zip(&night.recording.truth.cycles) {
        let cold = judged.findings.iter().any(|f| f.departure.id == "supply-cold");
        assert_eq!(cold, truth.fault().is_some());
    }
}

/// Of a machine that should purge and never does it is asked first how dirty the dishes were, for with little soil that is commonly normal; what is
/// suspected first is its drain-hose loop. Common practice, no source.
#[test]
fn of_a_machine_that_never_purges_the_load_is_asked_about_and_the_drain_hose_suspected() {
    let chart = parse(include_str!("../../host/charts/invented-120v-heavy.chart.toml"), "chart").unwrap();
    let night = live(&Night::with_faults(8, Appliance::on_120_volts(), &[Fault::NoPurge]));
    let judged = night.judge(&chart);
    let at = night.recording.truth.cycles.iter().position(|c| c.fault().is_some()).unwrap();
    let first = &judged[at].findings[0];
    assert_eq!(first.departure.id, "never-purged");
    assert_eq!(first.advice.suspects[0].word, "drain-hose-loop");
    assert!(first.advice.next.contains("how dirty the dishes were"), "{}", first.advice.next);
}
