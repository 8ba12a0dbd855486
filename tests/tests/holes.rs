//! Readings that are lost are no fault: what a hole hides cannot be judged. Holes are cut into real days, and nothing may be found that is not
//! found of the whole day.

use std::collections::BTreeMap;

use tubtrace::analysis::Analysis;
use tubtrace::chart::Machine;
use tubtrace::findings::{Causes, Surroundings, judge};
use tubtrace::log::{Assumptions, parse};
use tubtrace_tests::real::days;
use tubtrace_tests::real::readings::csv;

/// Lengths of holes, s: about a drain, a fill and a wash, a hold, several waters.
const HOLES: [f64; 4] = [130.0, 300.0, 600.0, 1_800.0];

/// Parts of a run at which a hole begins.
const AT: [f64; 5] = [0.1, 0.3, 0.5, 0.7, 0.97];

type Rows = Vec<(f64, f64)>;

fn rows(day: &std::path::Path) -> Rows {
    let (log, _) = tubtrace_tests::real::worked(day);
    (0..).map_while(|i| log.trace.steps.get(i)).map(|s| (s.start.0, s.power.0)).collect()
}

/// How often each kind of finding comes, with a machine's file or without one.
fn found(rows: &Rows, machine: Option<&Machine>) -> BTreeMap<&'static str, usize> {
    let log = parse(csv(rows).as_bytes(), Assumptions::default()).expect("a log");
    let cycles = match machine {
        Some(machine) => Analysis::of_known(&log.trace, &machine.draws).cycles,
        None => Analysis::of(&log.trace).cycles,
    };
    let surroundings = Surroundings::of(&log.trace, &cycles);
    let judged = match machine {
        Some(machine) => cycles.iter().map(|c| judge(machine, c, surroundings)).collect(),
        None => tubtrace::compare::among(&cycles, log.trace.resolution, surroundings, Causes::built_in()),
    };
    let mut kinds = BTreeMap::new();
    for finding in judged.iter().flat_map(|j| &j.findings) {
        *kinds.entry(finding.departure.id).or_insert(0) += 1;
    }
    kinds
}

fn learned(days: &[std::path::PathBuf]) -> Machine {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("machine.toml");
    let days: Vec<&std::path::Path> = days.iter().map(|d| d.as_path()).collect();
    tubtrace_tests::program::learn(&days, &file).expect("learned");
    tubtrace::chart::read(&file).expect("a machine file")
}

/// Findings of days with holes that the whole day does not have, by what they are.
fn new_findings(machine: &str) -> Vec<String> {
    let days = days(machine);
    let mut new = Vec::new();
    for (n, day) in days.iter().enumerate().step_by(3) {
        let others: Vec<_> =
            days.iter().enumerate().filter(|(i, _)| i % 2 != n % 2).map(|(_, d)| d.clone()).collect();
        let all = rows(day);
        let (_, cycles) = tubtrace_tests::real::worked(day);
        let Some(run) = cycles.iter().max_by(|a, b| a.duration().0.total_cmp(&b.duration().0)) else {
            continue;
        };
        for machine in [None, Some(learned(&others))] {
            let whole = found(&all, machine.as_ref());
            for (at, hole) in AT.iter().flat_map(|at| HOLES.map(|hole| (at, hole))) {
                let from = run.start().0 + at * run.duration().0;
                let cut: Rows = all.iter().copied().filter(|r| r.0 < from || r.0 >= from + hole).collect();
                let known = if machine.is_some() { "by its file" } else { "alone" };
                let more = found(&cut, machine.as_ref())
                    .into_iter()
                    .filter(|(kind, n)| whole.get(kind).unwrap_or(&0) < n);
                new.extend(
                    more.map(|(kind, _)| format!("{kind} {known}: {} at {at}, {hole} s", day.display())),
                );
            }
        }
    }
    new
}

#[test]
fn a_hole_in_a_real_day_is_no_fault() {
    for machine in ["machine-a", "machine-b", "machine-c"] {
        assert_eq!(new_findings(machine), Vec::<String>::new());
    }
}
