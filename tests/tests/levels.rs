//! What a machine's loads draw stands in its file: by it each run of a log is read, whatever else the log has.

use proptest::prelude::*;
use tubtrace::analysis::Analysis;
use tubtrace::chart::{Machine, parse as parse_machine, to_toml};

use tubtrace::findings::{Judged, Surroundings, judge};
use tubtrace::intervals::Kind;
use tubtrace::learn::Nights;
use tubtrace::loads::{Draw, Drawn, Draws};
use tubtrace::log::{Assumptions, parse};
use tubtrace::trace::{Step, Trace};
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::live;
use tubtrace_tests::real::{days, worked};
use tubtrace_tests::score::current_alone;
use tubtrace_units::{Amps, Load, Watts};

/// One water: how long, and watts; invented.
const WATER: [(u32, f64); 5] = [(60, 13.0), (600, 95.0), (20, 2.0), (40, 29.0), (30, 2.0)];
/// A main water that is heated.
const HEATED: [(u32, f64); 6] = [(60, 13.0), (300, 95.0), (600, 1_950.0), (300, 95.0), (40, 29.0), (30, 2.0)];
/// What the machine ends with: a vent of as much as half a drain pump.
const VENT: (u32, f64) = (40, 15.0);

/// A run between idle times; where the drain pump is dead, nothing is drawn instead.
fn run(drains: bool) -> Vec<(u32, f64)> {
    let steps = [&[(1_800, 2.0)], &WATER[..], &HEATED, &WATER, &WATER, &[VENT, (1_800, 2.0)]].concat();
    steps
        .into_iter()
        .map(|(lasts, watts)| (lasts, if !drains && watts == 29.0 { 2.0 } else { watts }))
        .collect()
}

fn log(runs: &[Vec<(u32, f64)>]) -> Trace {
    let seconds =
        runs.iter().flatten().flat_map(|&(lasts, watts)| std::iter::repeat_n(watts, lasts as usize));
    // A reading is off by a watt now and then, as meters are.
    let rows: String =
        (0..).zip(seconds).map(|(at, w)| format!("{at},{:.1}\n", w + f64::from(at % 7 % 2))).collect();
    parse(format!("time,watts\n{rows}").as_bytes(), Assumptions::default()).unwrap().trace
}

/// A machine as the command learns it.
fn learned(traces: &[&Trace]) -> Machine {
    Nights::read(traces, &Draws::default()).learn("learned").unwrap().machine
}

fn judged(machine: &Machine, trace: &Trace) -> Vec<Judged> {
    let cycles = Analysis::of_known(trace, &machine.draws).cycles;
    let surroundings = Surroundings::of(trace, &cycles);
    cycles.iter().map(|cycle| judge(machine, cycle, surroundings)).collect()
}

fn kinds(judged: &Judged) -> Vec<String> {
    judged.findings.iter().map(|f| format!("{} {}", f.departure, f.interval)).collect()
}

#[test]
fn a_verdict_is_the_same_whatever_else_is_in_the_log() {
    let machine = learned(&[&log(&vec![run(true); 5])]);
    assert!(machine.draws.tell_loads(), "{:?}", machine.draws);
    for drains in [true, false] {
        let alone = judged(&machine, &log(&[run(drains)]));
        let beside = judged(&machine, &log(&[run(true), run(drains), run(true)]));
        assert_eq!((alone.len(), beside.len()), (1, 3));
        assert_eq!(kinds(&alone[0]), kinds(&beside[1]));
        assert_eq!(alone[0].departs(), !drains, "{:?}", kinds(&alone[0]));
        assert!(!beside[0].departs() && !beside[2].departs());
    }
}

#[test]
fn a_run_a_few_minutes_after_another_is_told_from_it_where_the_machine_never_rests_for_so_long() {
    // A vent that draws what the valve does would be a fill as well as a vent.
    let run: Vec<(u32, f64)> = run(true).into_iter().filter(|step| *step != VENT).collect();
    let machine = learned(&[&log(&vec![run.clone(); 5])]);
    let soon = [&run[..run.len() - 1], &[(240, 2.0)], &run[1..]].concat();
    let twice = judged(&machine, &log(std::slice::from_ref(&soon)));
    assert_eq!(twice.len(), 2);
    assert!(
        twice.iter().all(|judged| !judged.departs()),
        "{:?}",
        twice.iter().map(kinds).collect::<Vec<_>>()
    );
    // Without the machine's own, runs are ten minutes apart.
    assert_eq!(Analysis::of(&log(&[soon])).cycles.len(), 1);
}

/// The trace with nothing drawn where the drain pump ran alone.
fn dead(trace: &Trace, ran: impl Fn(&Step) -> bool, standby: Watts) -> Trace {
    let mut trace = trace.clone();
    let still = |step: Step| if ran(&step) { Step { power: standby, ..step } } else { step };
    trace.steps = trace.steps.iter().map(still).collect();
    trace
}

#[test]
fn a_dead_drain_pump_of_the_simulator_departs_from_the_current_alone() {
    let appliance = Night::demo(1).appliance;
    let good = live(&Night::healthy(11, appliance.clone(), 6));
    let machine = learned(&[&current_alone(&good.log.trace)]);
    let night = live(&Night::healthy(12, appliance, 2));
    let truth = &night.recording.truth.intervals;
    let drains = |step: &Step| {
        truth.iter().any(|i| {
            i.loads.has(Load::DrainPump)
                && !i.loads.has(Load::WashPump)
                && i.start < step.end
                && step.start < i.end
        })
    };
    let idle = machine.draws.get(Drawn::Standby).unwrap().amps.0 * night.log.trace.nominal.volts.0;
    let told = judged(&machine, &dead(&current_alone(&night.log.trace), drains, Watts(idle)));
    assert!(
        !told.is_empty() && told.iter().all(Judged::departs),
        "{:?}",
        told.iter().map(kinds).collect::<Vec<_>>()
    );
}

#[test]
fn a_dead_drain_pump_of_a_real_machine_departs() {
    let all: Vec<Trace> = days("machine-c").iter().map(|day| worked(day).0.trace).collect();
    let (even, odd): (Vec<_>, Vec<_>) = all.iter().enumerate().partition(|(n, _)| n % 2 == 0);
    if even.is_empty() {
        return;
    }
    let machine = learned(&even.into_iter().map(|(_, trace)| trace).collect::<Vec<_>>());
    let (mut cycles, mut told) = (0, 0);
    for (_, trace) in odd {
        let drains: Vec<_> = Analysis::of_known(trace, &machine.draws)
            .cycles
            .iter()
            .flat_map(|c| c.intervals.clone())
            .filter(|i| i.kind == Kind::Drain)
            .collect();
        let ran = |step: &Step| drains.iter().any(|d| d.start < step.end && step.start < d.end);
        let judged = judged(&machine, &dead(trace, ran, Watts(0.0)));
        cycles += judged.len();
        told += judged.iter().filter(|j| j.departs()).count();
    }
    assert!(cycles >= 8 && told * 10 >= cycles * 9, "{told} of {cycles}");
}

proptest! {
    /// Whatever a file can say of loads is read as it was written, but that a valve draws more than a pump, or a pump more than a heater, or that
    /// washes draw what the drain pump does.
    #[test]
    fn what_loads_draw_is_read_as_it_was_written(
        said in prop::collection::btree_map(0..Drawn::ALL.len(), (0.001..100.0, 0.0..10.0, 0_u32..1_000), 0..=Drawn::ALL.len()),
    ) {
        let draws: Draws = said
            .into_iter()
            .map(|(of, (amps, spread, seen))| (Drawn::ALL[of], Draw { amps: Amps(amps), spread: Amps(spread), seen }))
            .collect();
        let text = include_str!("../../host/charts/invented-120v-heavy.chart.toml");
        let machine = Machine { draws, ..parse_machine(text, "chart").unwrap() };
        let read = parse_machine(&to_toml(&machine), "written");
        let can_be = machine.draws.out_of_order().is_none() && machine.swapped_pumps().is_none();
        prop_assert_eq!(read.is_ok(), can_be);
        if let Ok(read) = read {
            prop_assert_eq!(read, machine);
        }
    }
}
