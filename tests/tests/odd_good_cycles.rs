//! What is odd about cycles that were given for good ones is said when a machine is learned from them.

use tubtrace::analysis::Analysis;
use tubtrace::learn::{Odd, learn, odd};
use tubtrace::log::{Assumptions, parse};
use tubtrace_units::Seconds;

/// What is odd about a machine that is learned from these runs, each with so many watts of its heater; invented, at 230 V.
fn told(heaters: &[f64]) -> Vec<Odd> {
    let run = |heater: &f64| {
        [(900, 2.0), (60, 12.0), (900, 95.0), (600, 95.0 + heater), (300, 95.0), (60, 30.0), (900, 2.0)]
    };
    let seconds = heaters.iter().flat_map(run).flat_map(|(lasts, watts)| std::iter::repeat_n(watts, lasts));
    let rows: String = seconds.enumerate().map(|(at, watts)| format!("{at},{watts}\n")).collect();
    let trace = parse(format!("time,watts\n{rows}").as_bytes(), Assumptions::default()).unwrap().trace;
    let cycles = Analysis::of(&trace).cycles;
    let learned = learn(&cycles.iter().collect::<Vec<_>>(), "invented", Seconds(1.0)).unwrap();
    let used: Vec<_> = learned.used.iter().map(|i| &cycles[*i]).collect();
    odd(&learned.machine, &used)
}

#[test]
fn a_heater_at_two_powers_and_a_machine_that_never_heats_are_told_and_a_healthy_one_is_not() {
    assert_eq!(told(&[2_000.0; 6]), []);
    // Mains that varies by a twentieth makes a tenth of the heater's power.
    assert_eq!(told(&[2_000.0, 1_900.0, 2_000.0, 1_850.0, 2_050.0, 2_000.0]), []);
    let halves = told(&[2_000.0, 1_000.0, 2_000.0, 1_000.0, 2_000.0, 1_000.0]);
    assert!(matches!(halves[..], [Odd::TwoPowers { weak: 3, cycles: 6, .. }]), "{halves:?}");
    assert_eq!(told(&[0.0; 6]), [Odd::NeverHeats("invented".to_owned())]);
}
