//! The same nights without pickups, clips and harmonics: power alone, as any meter gives it. What it can tell it tells;
//! of what it cannot tell it says nothing.

use tubtrace::analysis::Analysis;
use tubtrace::findings::{Surroundings, judge};
use tubtrace::intervals::{Cycle, Kind};
use tubtrace::learn::learn;
use tubtrace::trace::{Step, Trace};
use tubtrace_simulator::machine::{Appliance, Fault};
use tubtrace_simulator::scenario::Night;
use tubtrace_simulator::{Doing, TruthInterval};
use tubtrace_tests::{Worked, departure_of, explain, live};
use tubtrace_units::Seconds;

fn power_alone(night: &Worked) -> (Trace, Vec<Cycle>) {
    let mut trace = night.log.trace.clone();
    trace.steps = trace.steps.iter().map(|step| Step { detail: None, ..step }).collect();
    trace.fills.clear();
    trace.temperatures.clear();
    let cycles = Analysis::of(&trace).cycles;
    (trace, cycles)
}

/// What power can always see of what the control does: a purge is part of the wash that it comes in, and not always told.
fn seen(doing: Doing) -> Kind {
    match doing {
        Doing::Fill => Kind::Fill,
        Doing::Wash | Doing::Purge => Kind::Wash,
        Doing::Heat => Kind::Heat,
        Doing::Drain => Kind::Drain,
        Doing::Dry => Kind::Dry,
        Doing::Idle | Doing::Pause => Kind::Pause,
    }
}

#[test]
fn intervals_are_found_by_level_and_order() {
    for appliance in [Appliance::on_120_volts(), Appliance::on_230_volts()] {
        let night = live(&Night::healthy(301, appliance, 3));
        let (_, cycles) = power_alone(&night);
        let truth = &night.recording.truth;
        assert_eq!(cycles.len(), truth.cycles.len());
        for (cycle, run) in cycles.iter().zip(&truth.cycles) {
            let mut expected: Vec<(Kind, Seconds)> = Vec::new();
            for i in truth.intervals.iter().filter(|i| i.start >= run.start && i.end <= run.end) {
                if expected.last().is_none_or(|l| l.0 != seen(i.doing)) {
                    expected.push((seen(i.doing), i.start));
                }
            }
            let mut found: Vec<(Kind, Seconds)> = Vec::new();
            for i in &cycle.intervals {
                let purges =
                    |t: &TruthInterval| t.doing == Doing::Purge && t.start < i.end && t.end > i.start;
                assert!(
                    i.kind != Kind::Purge || truth.intervals.iter().any(purges),
                    "no purge at {:.0}",
                    i.start
                );
                let kind = if i.kind == Kind::Purge { Kind::Wash } else { i.kind };
                if found.last().is_none_or(|l| l.0 != kind) {
                    found.push((kind, i.start));
                }
            }
            let kinds = |runs: &[(Kind, Seconds)]| runs.iter().map(|r| r.0).collect::<Vec<_>>();
            assert_eq!(kinds(&found), kinds(&expected));
            for (found, expected) in found.iter().zip(&expected) {
                assert!((found.1 - expected.1).abs() < Seconds(0.6), "{found:?} for {expected:?}");
            }
        }
    }
}

#[test]
fn faults_that_power_shows_are_told_and_no_others_are_made_up() {
    for appliance in [Appliance::on_120_volts(), Appliance::on_230_volts()] {
        // The chart knows of purges and temperatures: it was learned with everything clipped on.
        let good = live(&Night::healthy(7, appliance.clone(), 6));
        let chart = learn(&good.cycles.iter().collect::<Vec<_>>(), "learned", good.log.trace.resolution)
            .unwrap()
            .machine;
        let night = live(&Night::with_faults(302, appliance, &Fault::FIRST));
        let (trace, cycles) = power_alone(&night);
        for (cycle, run) in cycles.iter().zip(&night.recording.truth.cycles) {
            let judged = judge(&chart, cycle, Surroundings::of(&trace, &cycles));
            let departures: Vec<&str> = judged.findings.iter().map(|f| f.departure.id).collect();
            let why = || format!("{:?}\n{}", run.fault(), explain(&judged, &chart));
            match run.fault() {
                None => assert!(departures.is_empty(), "{}", why()),
                Some(Fault::ColdSupply | Fault::NoDrainFlow | Fault::LeakingValve | Fault::NoPurge) => {
                    let needs_clips = ["supply-cold", "no-drain-flow", "flow-when-off", "never-purged"];
                    assert!(!departures.iter().any(|d| needs_clips.contains(d)), "{}", why());
                }
                Some(fault) => assert_eq!(departures.first().copied(), departure_of(fault), "{}", why()),
            }
        }
    }
}
