//! Watts at other volts than they are taken for make every load depart alike: that is a matter of scale and none of the machine.

use tubtrace::analysis::Analysis;
use tubtrace::chart::Machine;
use tubtrace::findings::{Surroundings, judge, off_by, off_scale};
use tubtrace::intervals::Cycle;
use tubtrace::learn::learn;
use tubtrace::log::{Assumptions, parse};
use tubtrace::trace::Trace;
use tubtrace_units::Seconds;

/// Six runs of a machine whose loads draw so many watts: fill valve, wash pump, pump with heater, drain pump; invented.
fn log(column: &str, by: f64, heater: f64) -> Trace {
    let run =
        [(900, 2.0), (60, 12.0), (900, 95.0), (600, 95.0 + heater), (300, 95.0), (60, 30.0), (900, 2.0)];
    let seconds = run.repeat(6).into_iter().flat_map(|(lasts, watts)| std::iter::repeat_n(watts, lasts));
    let rows: String = seconds.enumerate().map(|(at, watts)| format!("{at},{:.4}\n", watts * by)).collect();
    parse(format!("time,{column}\n{rows}").as_bytes(), Assumptions::default()).unwrap().trace
}

fn cycles(trace: &Trace) -> Vec<Cycle> {
    Analysis::of(trace).cycles
}

fn off(machine: &Machine, trace: &Trace) -> Option<f64> {
    let cycles = cycles(trace);
    assert!(!cycles.is_empty());
    let surroundings = Surroundings::of(trace, &cycles);
    let judged: Vec<_> = cycles.iter().map(|c| judge(machine, c, surroundings)).collect();
    off_by(machine, &cycles, &judged)
}

#[test]
fn readings_at_other_volts_are_of_another_scale_and_a_fault_is_not() {
    // Of 120 V: a meter of amperes has this machine draw so much.
    let amps = log("amps", 1.0 / 120.0, 1_000.0);
    let good = cycles(&amps);
    let machine = learn(&good.iter().collect::<Vec<_>>(), "invented", Seconds(1.0)).unwrap().machine;
    assert_eq!(off(&machine, &amps), None);
    // Its watts are taken for those at 230 V.
    let factor = off(&machine, &log("watts", 1.0, 1_000.0)).unwrap();
    assert!((factor / (120.0 / 230.0) - 1.0).abs() < 0.05, "{factor}");
    // A heater at half its power is no matter of scale, whatever the volts.
    assert_eq!(off(&machine, &log("amps", 1.0 / 120.0, 450.0)), None);
    assert_eq!(off(&machine, &log("watts", 1.0, 450.0)), None);
}

#[test]
fn readings_at_half_their_scale_are_told_as_that_where_the_levels_are_given_and_half_a_heater_is_not() {
    let whole = log("watts", 1.0, 2_000.0);
    let good = cycles(&whole);
    let machine = learn(&good.iter().collect::<Vec<_>>(), "invented", Seconds(1.0)).unwrap().machine;
    assert!(machine.draws.tell_loads());
    let scale = |trace: &Trace| {
        let cycles = Analysis::of_known(trace, &machine.draws).cycles;
        let surroundings = Surroundings::of(trace, &cycles);
        let judged: Vec<_> = cycles.iter().map(|c| judge(&machine, c, surroundings)).collect();
        off_scale(&machine, trace, (&cycles, &judged), surroundings)
    };
    assert_eq!(scale(&whole), None);
    for by in [0.5, 0.8, 1.25, 2.0] {
        let factor = scale(&log("watts", by, 2_000.0)).unwrap_or_else(|| panic!("{by} is not told"));
        assert!((factor / by - 1.0).abs() < 0.05, "{factor}");
    }
    // One load alone is at fault, however far it is off.
    for heater in [950.0, 1_600.0, 1_700.0, 2_300.0] {
        assert_eq!(scale(&log("watts", 1.0, heater)), None, "{heater}");
    }
}
