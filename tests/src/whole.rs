//! The whole job on a log of any length, for whoever times it.

use tubtrace::analysis::Analysis;
use tubtrace::chart::Machine;
use tubtrace::diagnosis::diagnose;
use tubtrace::findings::{Causes, Surroundings, judge};
use tubtrace::intervals::Cycle;
use tubtrace::learn::learn;
use tubtrace::log::{Assumptions, Log, parse};
use tubtrace::report::{Sheet, Subject, page};
use tubtrace_simulator::machine::Appliance;
use tubtrace_simulator::scenario::Night;
use tubtrace_units::Seconds;

/// A night of so many runs, three hours each with the idle time around it.
#[must_use]
pub fn night(runs: usize) -> Night {
    let mut night = Night::healthy(12, Appliance::on_120_volts(), runs);
    night.plans.iter_mut().for_each(|p| p.idle = Seconds(6_000.0));
    night
}

/// A chart of these cycles.
///
/// # Panics
/// When they make none.
#[must_use]
pub fn chart(cycles: &[Cycle], resolution: Seconds) -> Machine {
    learn(&cycles.iter().collect::<Vec<_>>(), "timed", resolution).expect("healthy cycles").machine
}

/// How many findings there are against a chart.
#[must_use]
pub fn findings(cycles: &[Cycle], surroundings: Surroundings, chart: &Machine) -> usize {
    cycles.iter().map(|c| judge(chart, c, surroundings).findings.len()).sum()
}

/// The page of a log against a chart.
#[must_use]
pub fn page_of(log: &Log, cycles: &[Cycle], chart: &Machine) -> String {
    let surroundings = Surroundings::of(&log.trace, cycles);
    let judged: Vec<_> = cycles.iter().map(|c| judge(chart, c, surroundings)).collect();
    let subject = Subject::of(log, cycles);
    let (causes, chart) = (Causes::built_in(), Some(&*chart.name));
    let diagnoses = diagnose(cycles, &judged, causes);
    page(Sheet {
        subject,
        chart,
        judged: &judged,
        diagnoses: &diagnoses,
        causes,
        role: "",
        options: &[],
        all: false,
    })
}

/// The same from the bytes of a file.
///
/// # Panics
/// When they are no log.
#[must_use]
pub fn findings_of(log: &[u8], chart: &Machine) -> usize {
    let log = parse(log, Assumptions::default()).expect("an intact log");
    let cycles = Analysis::of(&log.trace).cycles;
    findings(&cycles, Surroundings::of(&log.trace, &cycles), chart)
}
