//! Means over ten seconds or a minute: what they cannot show is neither claimed nor required.

use std::sync::LazyLock;

use tubtrace::analysis::Analysis;
use tubtrace::chart::Machine;
use tubtrace::findings::{Judged, Surroundings, judge};
use tubtrace::intervals::Cycle;
use tubtrace::learn::learn;
use tubtrace::trace::{Step, Trace};
use tubtrace_simulator::machine::{Appliance, Fault};
use tubtrace_simulator::scenario::{Night, Plan};
use tubtrace_tests::real::{days, worked};
use tubtrace_tests::{explain, live};
use tubtrace_units::{Seconds, Watts};

/// The trace of a meter that gives a mean over each so many seconds, and power alone. A mean of which readings are missing is none.
fn means(trace: &Trace, over: f64) -> Trace {
    let mut coarse = trace.clone();
    coarse.temperatures.clear();
    coarse.fills.clear();
    coarse.clipped.clear();
    coarse.resolution = Seconds(over);
    let count = (trace.duration().0 / over) as usize;
    let mean = |n: usize| {
        let (start, end) = (Seconds(n as f64 * over), Seconds((n + 1) as f64 * over));
        let within: Vec<Step> = trace.between(start, end).collect();
        let time: f64 = within.iter().map(|s| s.duration().0).sum();
        let power: f64 = within.iter().map(|s| s.power.0 * s.duration().0).sum::<f64>() / time.max(1e-9);
        (time > 0.9 * over).then_some(Step { start, end, power: Watts(power), detail: None })
    };
    coarse.steps = (0..count).filter_map(mean).collect();
    coarse
}

fn cycles_of(trace: &Trace) -> Vec<Cycle> {
    Analysis::of(trace).cycles
}

fn departing(trace: &Trace, chart: &Machine) -> (usize, Vec<String>) {
    let cycles = cycles_of(trace);
    let surroundings = Surroundings::of(trace, &cycles);
    let judged: Vec<Judged> = cycles.iter().map(|c| judge(chart, c, surroundings)).collect();
    let wrong = judged.iter().filter(|j| j.departs()).map(|j| explain(j, chart)).collect();
    (judged.len(), wrong)
}

/// What is learned from five healthy runs of a machine that is read every tenth of a second.
fn fine(appliance: Appliance) -> Machine {
    let good = live(&Night::healthy(72, appliance, 5));
    let examples: Vec<&Cycle> = good.cycles.iter().collect();
    learn(&examples, "fine", good.log.trace.resolution).unwrap().machine
}

static FINE_ON_230_VOLTS: LazyLock<Machine> = LazyLock::new(|| fine(Appliance::on_230_volts()));

/// Healthy runs, by a chart that knows the machine from every tenth of a second.
#[test]
fn healthy_runs_are_within_whatever_the_resolution() {
    let mut told = Vec::new();
    let on_120_volts = fine(Appliance::on_120_volts());
    for (appliance, chart) in
        [(Appliance::on_120_volts(), &on_120_volts), (Appliance::on_230_volts(), &*FINE_ON_230_VOLTS)]
    {
        let night = live(&Night::healthy(73, appliance, 4));
        for over in [10.0, 60.0] {
            let (count, wrong) = departing(&means(&night.log.trace, over), chart);
            assert!(count > 0, "no cycle in means of {over} s");
            println!("means of {over} s: {} of {count} depart", wrong.len());
            told.extend(wrong.into_iter().map(|w| format!("means of {over} s\n{w}")));
        }
    }
    assert!(told.is_empty(), "{}", told.join("\n\n"));
}

/// What a mean of ten seconds shows is claimed all the same: a heater that draws nothing.
#[test]
fn what_can_be_seen_is_claimed() {
    let chart = &*FINE_ON_230_VOLTS;
    let mut night = Night::healthy(74, Appliance::on_230_volts(), 2);
    night.plans[1] = Plan { trouble: Some(Fault::NoHeat.into()), ..night.plans[1] };
    let night = live(&night);
    for over in [10.0, 60.0] {
        let trace = means(&night.log.trace, over);
        let cycles = cycles_of(&trace);
        let surroundings = Surroundings::of(&trace, &cycles);
        let last = judge(chart, cycles.last().expect("cycles"), surroundings);
        assert!(last.departs(), "means of {over} s\n{}", explain(&last, chart));
    }
}

/// Real days as coarser meters would have given them, by a chart of the same days.
#[test]
fn real_days_are_within_whatever_the_resolution() {
    let mut told = Vec::new();
    for machine in ["machine-a", "machine-b"] {
        for day in days(machine) {
            let (log, cycles) = worked(&day);
            let whole: Vec<&Cycle> = cycles.iter().filter(|c| !c.cut_at_start && !c.cut_at_end).collect();
            let Ok(learned) = learn(&whole, "fine", log.trace.resolution) else { continue };
            for over in [10.0, 60.0] {
                let (count, wrong) = departing(&means(&log.trace, over), &learned.machine);
                println!("{} in means of {over} s: {} of {count} depart", day.display(), wrong.len());
                told.extend(wrong.into_iter().map(|w| format!("{} over {over} s\n{w}", day.display())));
            }
        }
    }
    assert!(told.is_empty(), "{}", told.join("\n\n"));
}
