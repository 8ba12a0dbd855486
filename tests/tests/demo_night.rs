//! The night of `tubtrace demo`, against the chart that comes with it: departs on the faulty runs and on no other,
//! and names each fault first. On the demo's own seed and on two that nobody looks at.

use std::sync::LazyLock;

use tubtrace::analysis::Analysis;
use tubtrace::chart::{Machine, parse};
use tubtrace::compare::among;
use tubtrace::diagnosis::diagnose;
use tubtrace::findings::{Causes, Judged, Surroundings, judge};
use tubtrace::intervals::Cycle;
use tubtrace::log::{Assumptions, Log, parse as read};
use tubtrace::report::{Subject, Units, Verdict, timeline, verdict};
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
        let subject = Subject { units, ..Subject::of(&night.log, &night.cycles) };
        let table = timeline(subject);
        assert!(table.contains("out "), "no drain water was measured:\n{table}");
        // What begins with two blanks is an interval: headings hold whatever somebody called the record.
        for line in table.lines().filter(|line| line.starts_with("  ")) {
            assert!(line.chars().count() <= 80, "{} columns: {line}", line.chars().count());
        }
    }
}

/// What `check` prints of these cycles on a terminal so wide.
fn told(log: &Log, cycles: &[Cycle], judged: &[Judged], width: usize) -> String {
    let causes = Causes::built_in();
    let subject = Subject { width, ..Subject::of(log, cycles) };
    let diagnoses = diagnose(cycles, judged, causes);
    let chart = &chart().name;
    verdict(Verdict { subject, chart, judged, options: &[], diagnoses: &diagnoses, causes })
}

/// A line as it is seen: without what switches styles.
fn unstyled(line: &str) -> String {
    let mut pieces = line.split("\u{1b}[");
    let first = pieces.next().unwrap_or_default().to_owned();
    first + &pieces.filter_map(|piece| piece.split_once('m')).map(|(_, text)| text).collect::<String>()
}

#[test]
fn text_is_as_wide_as_the_terminal() {
    let night = &*DEMO;
    let judged = night.judge(&chart());
    for width in [60, 80, 100] {
        let text = told(&night.log, &night.cycles, &judged, width);
        // The first line of the heading holds whatever somebody called the record.
        let lines = text.lines().filter(|line| !line.contains(" recorded, ")).map(unstyled);
        let widest = lines.max_by_key(|line| line.chars().count()).unwrap();
        assert!((width - 8..=width).contains(&widest.chars().count()), "{width}: {widest}");
    }
}

/// A log that ends anywhere in a healthy run: what its end cuts is not told to go on to its own end, nor to lack what was still to come.
#[test]
fn what_the_end_of_a_log_cuts_is_not_judged_by_its_end() {
    let whole = &DEMO.recording.log;
    let chart = chart();
    for part in 1..40 {
        let log = read(&whole[..whole.len() * part / 40], Assumptions::default()).unwrap();
        let cycles = Analysis::of(&log.trace).cycles;
        let healthy =
            cycles.len().checked_sub(1).is_some_and(|n| DEMO.recording.truth.cycles[n].trouble.is_none());
        let Some(last) = cycles.last().filter(|cycle| cycle.cut_at_end && healthy) else { continue };
        let judged = judge(&chart, last, Surroundings::of(&log.trace, &cycles));
        let found: Vec<&str> = judged.findings.iter().map(|f| f.departure.id).collect();
        assert!(
            !found.contains(&"empties-late") && !found.contains(&"never-purged"),
            "{part} of 40: {found:?}"
        );
    }
}

/// What a hole in the log cuts of a healthy run is no fault of machine or logger: whatever is missing, it may have hidden.
#[test]
fn what_a_hole_hides_of_a_healthy_run_is_not_missing() {
    const HIDDEN: [&str; 8] = [
        "never-purged",
        "too-short",
        "too-long",
        "drain-deaf",
        "no-supply-flow",
        "clip-still",
        "empties-late",
        "missing",
    ];
    let whole = &DEMO.recording.log;
    let (chart, length) = (chart(), whole.len() / 40);
    let mut cut = 0;
    for part in 1..40 {
        let mut bytes = whole.clone();
        bytes[part * length..(part + 1) * length].fill(0);
        let log = read(&bytes, Assumptions::default()).unwrap();
        let cycles = Analysis::of(&log.trace).cycles;
        let surroundings = Surroundings::of(&log.trace, &cycles);
        let healthy = |cycle: &&Cycle| {
            let truth = DEMO.recording.truth.cycles.iter();
            let own = truth.filter(|t| t.start < cycle.end() && t.end > cycle.start());
            cycle.lacks().is_some() && own.into_iter().all(|t| t.trouble.is_none())
        };
        for cycle in cycles.iter().filter(healthy) {
            cut += 1;
            let judged = judge(&chart, cycle, surroundings);
            let found: Vec<&str> = judged.findings.iter().map(|f| f.departure.id).collect();
            assert!(
                !found.iter().any(|id| HIDDEN.contains(id)),
                "{part} of 40: {found:?} at {}",
                cycle.start()
            );
        }
    }
    assert!(cut > 10, "{cut} healthy runs had a hole");
}

/// The run whose drain is blocked, cut wherever: what comes after the drain is what tells that no water left, and until then nobody says that
/// it is still heard.
#[test]
fn a_blocked_drain_that_the_log_cuts_is_not_still_emptying() {
    let whole = &DEMO.recording.log;
    for chart in [Some(chart()), None] {
        for hundredths in 86..100 {
            let log = read(&whole[..whole.len() * hundredths / 100], Assumptions::default()).unwrap();
            let cycles = Analysis::of(&log.trace).cycles;
            let surroundings = Surroundings::of(&log.trace, &cycles);
            let judged = match &chart {
                Some(chart) => cycles.iter().map(|c| judge(chart, c, surroundings)).collect(),
                None => among(&cycles, log.trace.resolution, surroundings, Causes::built_in()),
            };
            for (cycle, judged) in cycles.iter().zip(&judged).filter(|(c, _)| c.cut_at_end) {
                let found: Vec<&str> = judged.findings.iter().map(|f| f.departure.id).collect();
                assert!(
                    !found.contains(&"empties-late"),
                    "{hundredths} of 100: {found:?} at {}",
                    cycle.start()
                );
            }
        }
    }
}

/// `demo --seed` promises other faults.
#[test]
fn another_seed_has_other_faults() {
    let faults = |seed| {
        let night = Night::demo(seed);
        night.plans.iter().filter_map(|p| p.trouble.map(|t| t.fault.words())).collect::<Vec<_>>()
    };
    let all: std::collections::BTreeSet<Vec<String>> = (1..=6).map(faults).collect();
    assert!(all.len() >= 5, "{all:?}");
    assert!(all.iter().flatten().all(|words| words.contains(' ')), "in words: {all:?}");
}

/// Zeros in the middle of the second run's drying: it ends in a hole of the log, and its heater is no heater that stays on.
#[test]
fn what_a_hole_cuts_is_said_to_be_cut_by_a_hole() {
    let mut bytes = DEMO.recording.log.clone();
    let from = bytes.len() / 3;
    bytes[from..from + 20_000].fill(0);
    let log = read(&bytes, Assumptions::default()).unwrap();
    let cycles = Analysis::of(&log.trace).cycles;
    let surroundings = Surroundings::of(&log.trace, &cycles);
    let chart = chart();
    let judged: Vec<Judged> = cycles.iter().map(|cycle| judge(&chart, cycle, surroundings)).collect();
    let text = told(&log, &cycles, &judged, 80);
    assert!(cycles[1].cut_at_end && cycles[1].end() < log.trace.duration(), "the hole is in the second run");
    assert!(text.contains("the log has a hole where it begins"), "{text}");
    assert!(!text.contains("begins before the log") && !text.contains("very end"), "{text}");
    let found: Vec<&str> = judged[1].findings.iter().map(|f| f.departure.id).collect();
    assert!(found.iter().all(|id| *id == "too-long"), "only its slow fills are told: {found:?}");
    let table = timeline(Subject::of(&log, &cycles));
    assert!(
        table.contains("the log has a hole where it ends") && !table.contains("ends after the log"),
        "{table}"
    );
}
