//! Every fault of the simulator, on both machines, found by a chart learned from healthy cycles of the same machine.

use tubtrace::chart::Chart;
use tubtrace::learn::learn;
use tubtrace_simulator::machine::{Appliance, Fault};
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::{departure_of, explain, live, suspect_of};

fn learned(appliance: Appliance) -> Chart {
    let good = live(&Night::healthy(7, appliance, 6));
    assert_eq!(good.cycles.len(), 6);
    let cycles: Vec<_> = good.cycles.iter().collect();
    let learned = learn(&cycles, "learned", good.log.trace.resolution).unwrap();
    assert_eq!(learned.used.len(), 6, "{:?}", learned.left_out);
    learned.chart
}

fn every_fault(appliance: Appliance, seed: u64) {
    let chart = learned(appliance.clone());
    let night = live(&Night::with_faults(seed, appliance, &Fault::ALL));
    let truth = &night.recording.truth.cycles;
    assert_eq!(night.cycles.len(), truth.len(), "every run is one cycle");
    let mut wrong = Vec::new();
    for ((judged, truth), cycle) in night.judge(&chart).iter().zip(truth).zip(&night.cycles) {
        let first = judged.findings.first();
        let right = match truth.fault {
            None => first.is_none(),
            Some(fault) => first.is_some_and(|f| {
                f.departure == departure_of(fault) && f.advice.suspects[0].word == suspect_of(fault)
            }),
        };
        if !right {
            wrong.push(format!("{:?} at {:.0}:\n{}", truth.fault, cycle.start(), explain(judged, &chart)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn on_120_volts() {
    every_fault(Appliance::on_120_volts(), 11);
}

#[test]
fn on_230_volts() {
    every_fault(Appliance::on_230_volts(), 12);
}
