//! Every fault of the simulator, on both machines, found by a chart learned from healthy cycles of the same machine.
//!
//! `TUBTRACE_SEEDS=200..210 cargo test --release -p tubtrace-tests --test faults -- --nocapture` tries other nights.

use std::sync::LazyLock;

use tubtrace::chart::Machine;
use tubtrace::findings::Judged;
use tubtrace::learn::learn;
use tubtrace_simulator::TruthCycle;
use tubtrace_simulator::machine::{Appliance, Fault};
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::{departure_of, explain, live, suspect_of};

/// A machine with a chart that was learned from healthy cycles of it.
struct Known {
    appliance: Appliance,
    chart: Machine,
}

static ON_120_VOLTS: LazyLock<Known> = LazyLock::new(|| known(Appliance::on_120_volts()));
static ON_230_VOLTS: LazyLock<Known> = LazyLock::new(|| known(Appliance::on_230_volts()));

fn known(appliance: Appliance) -> Known {
    Known { chart: learned(appliance.clone()), appliance }
}

fn learned(appliance: Appliance) -> Machine {
    let good = live(&Night::healthy(7, appliance, 6));
    assert_eq!(good.cycles.len(), 6);
    let cycles: Vec<_> = good.cycles.iter().collect();
    let learned = learn(&cycles, "learned", good.log.trace.resolution).unwrap();
    assert_eq!(learned.used.len(), 6, "{:?}", learned.left_out);
    learned.machine
}

/// Runs a night with every fault and a healthy run; gives the runs that were not judged rightly, in words.
fn wrong(chart: &Machine, appliance: Appliance, seed: u64) -> Vec<String> {
    let night = live(&Night::with_faults(seed, appliance, &Fault::FIRST));
    let truth = &night.recording.truth.cycles;
    if night.cycles.len() != truth.len() {
        return vec![format!("seed {seed}: {} cycles for {} runs", night.cycles.len(), truth.len())];
    }
    let judged = night.judge(chart);
    let right = |(judged, truth): &(&Judged, &TruthCycle)| {
        let first =
            judged.findings.first().map(|f| (Some(f.departure.id), f.advice.suspects[0].word.as_str()));
        first == truth.fault().map(|f| (departure_of(f), suspect_of(f)))
    };
    let runs = judged.iter().zip(truth);
    runs.filter(|run| !right(run))
        .map(|(judged, truth)| format!("seed {seed}, {:?}:\n{}", truth.fault(), explain(judged, chart)))
        .collect()
}

/// Seeds A..B from the environment, or the given one.
fn seeds(own: u64) -> std::ops::Range<u64> {
    let Some(text) = std::env::var_os("TUBTRACE_SEEDS") else { return own..own + 1 };
    let text = text.to_string_lossy();
    let ends = text.split_once("..").and_then(|(a, b)| Some(a.parse().ok()?..b.parse().ok()?));
    ends.expect("TUBTRACE_SEEDS is like 200..210")
}

fn every_fault(Known { appliance, chart }: &Known, seed: u64) {
    let seeds = seeds(seed);
    let runs = seeds.clone().count() * (Fault::FIRST.len() + 1);
    let wrong: Vec<String> = seeds.flat_map(|seed| wrong(chart, appliance.clone(), seed)).collect();
    println!("{} of {runs} runs judged wrongly", wrong.len());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn on_120_volts() {
    every_fault(&ON_120_VOLTS, 11);
}

#[test]
fn on_230_volts() {
    every_fault(&ON_230_VOLTS, 12);
}

/// A log that holds one cycle, the faulty one: nothing healthy in it to learn the machine's levels from. A leak is left
/// out: it is told by a quieter time of the same log, of which there is none.
#[test]
fn in_a_log_of_one_cycle() {
    for known in [&ON_120_VOLTS, &ON_230_VOLTS] {
        let Known { appliance, chart } = &**known;
        for fault in Fault::FIRST.into_iter().filter(|f| *f != Fault::LeakingValve) {
            let mut night = Night::with_faults(50, appliance.clone(), &[fault]);
            night.plans.retain(|p| p.trouble.is_some());
            let night = live(&night);
            let judged = night.judge(chart);
            assert_eq!(judged.len(), 1, "{fault:?}");
            let first = judged[0]
                .findings
                .first()
                .map(|f| (Some(f.departure.id), f.advice.suspects[0].word.as_str()));
            let told = Some((departure_of(fault), suspect_of(fault)));
            assert_eq!(first, told, "{}", explain(&judged[0], chart));
        }
    }
}
