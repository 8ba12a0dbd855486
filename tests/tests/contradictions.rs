//! A finding never contradicts the record that it was made from. What refutes it is read off the trace, with nothing of the code
//! that finds: where the heater ran, where all was off, what the heater drew.

use strangers::meter::Meter;
use tubtrace::chart::Machine;
use tubtrace::compare::among;
use tubtrace::findings::{Causes, Finding, Judged, Surroundings, judge};
use tubtrace::intervals::{Cycle, Kind};
use tubtrace::learn::learn;
use tubtrace::trace::{Step, Trace};
use tubtrace_simulator::machine::{Appliance, Fault};
use tubtrace_simulator::scenario::{Case, Night, Plan};
use tubtrace_tests::live;
use tubtrace_tests::real::{days, worked};
use tubtrace_tests::second_world::{self, KINDS};
use tubtrace_units::Seconds;

/// Nothing but a heater draws so much, watts: pumps and fans draw a tenth of it.
const HEATS: f64 = 700.0;

fn steps(trace: &Trace, from: Seconds, to: Seconds) -> Vec<Step> {
    trace.between(from, to).collect()
}

fn lasts(steps: &[Step], which: impl Fn(&Step) -> bool) -> f64 {
    steps.iter().filter(|s| which(s)).map(|s| s.duration().0).sum()
}

/// What the heater draws in this log as a rule, watts.
fn usual_heat(trace: &Trace) -> f64 {
    let mut levels: Vec<f64> = trace.steps.iter().map(|s| s.power.0).filter(|&w| w > HEATS).collect();
    levels.sort_by(f64::total_cmp);
    levels.get(levels.len() / 2).copied().unwrap_or(f64::INFINITY)
}

/// Why the record refutes this finding, if it does.
fn refuted(finding: &Finding, cycle: &Cycle, trace: &Trace) -> Option<String> {
    match finding.departure.id {
        "no-heat" => {
            let water = cycle.intervals.iter().rfind(|i| i.start <= finding.start)?.water;
            let own = cycle.intervals.iter().filter(|i| i.water == water);
            let hot: f64 = own.map(|i| lasts(&steps(trace, i.start, i.end), |s| s.power.0 > HEATS)).sum();
            (hot > 30.0).then(|| format!("the heater ran for {hot:.0} s in that water"))
        }
        "mains-low" => {
            // Right before what is said to be low, at full power: the mains does not fall as the heater goes off.
            let before = steps(trace, finding.start - Seconds(10.0), finding.start);
            let full = lasts(&before, |s| s.power.0 > 0.98 * usual_heat(trace));
            let itself =
                lasts(&steps(trace, finding.start, finding.start + Seconds(10.0)), |s| s.power.0 > HEATS);
            (full > 2.0 && itself == 0.0).then(|| "the heater beside it drew all that it does".to_owned())
        }
        "drain-stays-on" => {
            // What runs beside a pump that does not stop draws no less than that pump alone: a valve that draws half of it, for
            // twenty seconds, shows that it stopped.
            let drains = || cycle.intervals.iter().filter(|i| i.kind == Kind::Drain);
            let mut levels: Vec<f64> = drains().map(|i| i.measured.power.0).collect();
            levels.sort_by(f64::total_cmp);
            let pump = *levels.get(levels.len() / 2)?;
            let long = drains().find(|i| i.duration().0 > 0.9 * finding.measured.number())?;
            let after = steps(trace, long.end, cycle.end());
            let low = |s: &Step| s.power.0 < 0.7 * pump;
            let off =
                after.chunk_by(|a, b| low(a) == low(b)).find(|c| low(&c[0]) && lasts(c, |_| true) > 20.0)?;
            Some(format!("from {:.0} on less was drawn than the pump alone does", off[0].start))
        }
        _ => None,
    }
}

fn collect(judged: &[Judged], cycles: &[Cycle], trace: &Trace, what: &str, wrong: &mut Vec<String>) -> usize {
    let mut held = 0;
    for (judged, cycle) in judged.iter().zip(cycles) {
        for finding in &judged.findings {
            held += 1;
            if let Some(why) = refuted(finding, cycle, trace) {
                wrong.push(format!(
                    "{what}: {} in {} at {:.0}: {why}",
                    finding.departure, finding.interval, finding.start
                ));
            }
        }
    }
    held
}

fn against(chart: &Machine, cycles: &[Cycle], trace: &Trace) -> Vec<Judged> {
    let surroundings = Surroundings::of(trace, cycles);
    cycles.iter().map(|c| judge(chart, c, surroundings)).collect()
}

#[test]
fn simulated_nights_refute_no_finding() {
    let (mut wrong, mut held) = (Vec::new(), 0);
    for seed in 740..743 {
        let case = Case::draw(seed);
        let (good, night) = (live(&case.good), live(&case.night));
        let examples: Vec<&Cycle> = good.cycles.iter().collect();
        let chart = learn(&examples, "learned", good.log.trace.resolution).unwrap().machine;
        let trace = &night.log.trace;
        let what = format!("seed {seed}");
        held += collect(&night.judge(&chart), &night.cycles, trace, &what, &mut wrong);
    }
    println!("{held} findings held against the record");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn real_days_refute_no_finding() {
    let (mut wrong, mut held) = (Vec::new(), 0);
    for machine in ["machine-a", "machine-b", "machine-c"] {
        let all: Vec<_> = days(machine)
            .iter()
            .map(|day| {
                let (log, cycles) = worked(day);
                let good: Vec<&Cycle> = cycles.iter().collect();
                let chart = learn(&good, "learned", log.trace.resolution).ok().map(|l| l.machine);
                (day.display().to_string(), log, cycles, chart)
            })
            .collect();
        for (day, log, cycles, _) in &all {
            let surroundings = Surroundings::of(&log.trace, cycles);
            if cycles.len() > 3 {
                let resolution = log.trace.resolution;
                let judged = among(cycles, resolution, surroundings, Causes::built_in());
                held += collect(&judged, cycles, &log.trace, &format!("{day}, no chart"), &mut wrong);
            }
            // And by the chart of each other day.
            for (other, .., chart) in all.iter().filter(|(other, ..)| other != day) {
                let Some(chart) = chart else { continue };
                let judged = against(chart, cycles, &log.trace);
                held += collect(&judged, cycles, &log.trace, &format!("{day} by {other}"), &mut wrong);
            }
        }
    }
    println!("{held} findings held against the record");
    assert!(wrong.is_empty(), "{} refuted\n{}", wrong.len(), wrong.join("\n"));
}

/// A machine of each kind of the second world: learned from its healthy days, held against days with any fault.
#[test]
fn the_second_world_refutes_no_finding() {
    let folder = tempfile::tempdir().unwrap();
    let (mut wrong, mut held, mut unlearned) = (Vec::new(), 0, 0);
    for kind in KINDS {
        let days = second_world::days(kind, 1, Meter::OneWatt, &[], folder.path(), (3, 2)).unwrap();
        let all: Vec<_> = days.iter().map(|d| worked(d)).collect();
        let good: Vec<&Cycle> = all[..3].iter().flat_map(|(_, cycles)| cycles).collect();
        let Ok(learned) = learn(&good, "learned", Seconds(1.0)) else {
            unlearned += 1;
            continue;
        };
        for (log, cycles) in &all[3..] {
            let judged = against(&learned.machine, cycles, &log.trace);
            held += collect(&judged, cycles, &log.trace, kind.name, &mut wrong);
        }
    }
    println!(
        "{held} findings held against the record; machines of which nothing could be learned: {unlearned}"
    );
    assert!(wrong.is_empty(), "{} refuted\n{}", wrong.len(), wrong.join("\n"));
}

/// What the record shows is said all the same: a drain pump whose relay is welded.
#[test]
fn a_drain_pump_that_does_not_stop_is_told() {
    for appliance in [Appliance::on_120_volts(), Appliance::on_230_volts()] {
        let good = live(&Night::healthy(75, appliance.clone(), 4));
        let examples: Vec<&Cycle> = good.cycles.iter().collect();
        let chart = learn(&examples, "learned", good.log.trace.resolution).unwrap().machine;
        let mut night = Night::healthy(76, appliance, 2);
        night.plans[1] = Plan { trouble: Some(Fault::RelayWelded.into()), ..night.plans[1] };
        let night = live(&night);
        let judged = night.judge(&chart);
        let told = |j: &Judged| j.findings.iter().any(|f| f.departure.id == "drain-stays-on");
        assert!(
            judged.last().is_some_and(told),
            "{}",
            tubtrace_tests::explain(&judged[judged.len() - 1], &chart)
        );
    }
}
