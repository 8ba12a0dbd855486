//! The night of `tubtrace demo`, against the chart that comes with it: departs on the faulty runs and on no other,
//! and names each fault first. On the demo's own seed and on two that nobody looks at.

use std::sync::LazyLock;

use tubtrace::chart::{Machine, parse};
use tubtrace::job::Job;
use tubtrace::report::{Subject, Units, timeline};
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::{Worked, causes_of, departure_of, explain, live};

/// The night of the demo, recorded once for all the tests below.
static DEMO: LazyLock<Worked> = LazyLock::new(|| live(&Night::demo(1)));

fn chart() -> Machine {
    parse(include_str!("../../host/charts/invented-120v-heavy.chart.toml"), "the demo's chart").unwrap()
}

fn holds(night: &Worked, seed: u64) {
    let chart = chart();
    let truth = &night.recording.truth.cycles;
    assert_eq!(night.cycles.len(), truth.len());
    assert!(
        truth.iter().any(|c| c.trouble.is_none() && c.adaptation.extra_rinse),
        "a healthy run adds a rinse"
    );
    assert!(
        truth.iter().any(|c| c.trouble.is_none() && c.adaptation.purges > 1),
        "one purges more than once"
    );
    assert!(truth.iter().any(|c| c.trouble.is_none() && c.adaptation.warmer.0 > 0.0), "one holds for longer");
    for (judged, truth) in night.judge(&chart).iter().zip(truth) {
        let told = judged.findings.first().map(|f| (f.departure.id, f.advice.suspects[0].word.as_str()));
        // Of which check it is told depends on the fault where several see it; that it is told, and of what, does not.
        let right = match (told, truth.fault()) {
            (None, None) => true,
            (Some((id, suspect)), Some(fault)) => {
                departure_of(fault).is_none_or(|named| named == id) && causes_of(fault).contains(&suspect)
            }
            _ => false,
        };
        let fault = truth.fault();
        assert!(
            right,
            "seed {seed}, run at {:.0}, {fault:?}: {told:?}\n{}",
            truth.start,
            explain(judged, &chart)
        );
    }
}

#[test]
fn of_the_demo() {
    holds(&DEMO, 1);
}

#[test]
fn of_other_seeds() {
    for seed in [20_260_306, 987_654_321] {
        holds(&live(&Night::demo(seed)), seed);
    }
}

/// Its table fits a terminal of eighty columns in the units of either people: drain water of 100 °F and more is a digit wider than in °C.
#[test]
fn its_table_is_no_wider_than_a_terminal() {
    let night = &*DEMO;
    for units in [Units::Si, Units::Us] {
        let subject = Subject {
            log: &night.log,
            cycles: &night.cycles,
            job: &Job::default(),
            inlet: None,
            units,
            strip: None,
            width: 80,
        };
        let table = timeline(subject);
        assert!(table.contains("out "), "no drain water was measured:\n{table}");
        // What begins with two blanks is an interval: headings hold whatever somebody called the record.
        for line in table.lines().filter(|line| line.starts_with("  ")) {
            assert!(line.chars().count() <= 80, "{} columns: {line}", line.chars().count());
        }
    }
}
