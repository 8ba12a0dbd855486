//! Real dishwashers, 1 Hz watts: the folder that TUBTRACE_REAL_CYCLES names. Nobody labelled the data, so what is
//! checked is what anyone sees in a plot of it.

use std::path::{Path, PathBuf};

use tubtrace::chart::Machine;
use tubtrace::findings::{Judged, Outcome, Surroundings, judge};
use tubtrace::intervals::{Cycle, Kind};
use tubtrace::learn::learn;
use tubtrace_tests::program::{self, Said};
use tubtrace_tests::real::{days, worked};
use tubtrace_tests::splits::every_second;
use tubtrace_units::{Load, Seconds};

/// (seconds from the first reading, watts), read without any of the code under test.
fn readings(day: &Path) -> Vec<(f64, f64)> {
    let text = std::fs::read_to_string(day).unwrap();
    let mut first = None;
    text.lines()
        .skip(1)
        .map(|line| {
            let (time, watts) = line.split_once(',').unwrap();
            let (date, clock) = time.split_once('T').unwrap();
            let day: f64 = date[8..].parse().unwrap();
            let hms: Vec<f64> = clock.split(':').map(|x| x.parse().unwrap()).collect();
            // No file spans the end of a month.
            let at = day * 86_400.0 + hms[0] * 3_600.0 + hms[1] * 60.0 + hms[2];
            (at - *first.get_or_insert(at), watts.parse().unwrap())
        })
        .collect()
}

/// A run above 1 kW: each end is somewhere between two readings.
struct Above {
    starts: (f64, f64),
    ends: (f64, f64),
}

fn above_one_kilowatt(readings: &[(f64, f64)]) -> Vec<Above> {
    let mut runs: Vec<Above> = Vec::new();
    let mut before = None::<(f64, f64)>;
    for &(at, watts) in readings {
        let was = before.is_some_and(|(_, w)| w > 1_000.0);
        let last = before.map_or(at, |b| b.0);
        match (was, watts > 1_000.0) {
            (false, true) => runs.push(Above { starts: (last, at), ends: (f64::NAN, f64::NAN) }),
            (true, false) => runs.last_mut().unwrap().ends = (last, at),
            _ => {}
        }
        before = Some((at, watts));
    }
    assert!(runs.iter().all(|r| !r.ends.0.is_nan()), "no day ends while it heats");
    runs
}

/// Every heater interval, its ends within 3 s of where the watts cross 1 kW, or within the gap where one lies there.
#[test]
fn every_heater_interval_is_listed() {
    for day in days("machine-") {
        let readings = readings(&day);
        let (_, cycles) = worked(&day);
        let mut heats: Vec<(f64, f64)> = cycles
            .iter()
            .flat_map(|c| &c.intervals)
            .filter(|i| i.loads.has(Load::Heater))
            .map(|i| (i.start.0, i.end.0))
            .collect();
        for run in above_one_kilowatt(&readings) {
            let day = day.display();
            let inside = |h: &(f64, f64)| h.1 > run.starts.0 && h.0 < run.ends.1;
            let parts: Vec<(f64, f64)> = heats.iter().copied().filter(inside).collect();
            heats.retain(|h| !inside(h));
            let (first, last) = (parts.first(), parts.last());
            let starts = first.unwrap_or_else(|| panic!("{day}: no heat from {:?}", run.starts)).0;
            let ends = last.unwrap().1;
            assert!(
                (run.starts.0 - 3.0..=run.starts.1 + 3.0).contains(&starts),
                "{day}: starts at {starts}, not {:?}",
                run.starts
            );
            assert!(
                (run.ends.0 - 3.0..=run.ends.1 + 3.0).contains(&ends),
                "{day}: ends at {ends}, not {:?}",
                run.ends
            );
            // Within a run it is only ever broken where readings are missing.
            for pair in parts.windows(2) {
                let missing =
                    |w: &[(f64, f64)]| w[1].0 - w[0].0 > 9.0 && w[0].0 < pair[1].0 && w[1].0 > pair[0].1;
                assert!(readings.windows(2).any(missing), "{day}: broken at {} without a gap", pair[0].1);
            }
        }
        assert!(heats.is_empty(), "{}: heat where the watts show none: {heats:?}", day.display());
    }
}

/// What the README of the data says that one sees in the watts alone.
#[test]
fn every_cycle_fills_washes_heats_and_drains() {
    for day in days("machine-") {
        let (log, cycles) = worked(&day);
        let day = day.display();
        assert!(!cycles.is_empty(), "{day}: no cycle");
        for cycle in &cycles {
            let whole = !cycle.cut_at_start && !cycle.cut_at_end;
            let time = |kind| -> Seconds {
                cycle.intervals.iter().filter(|i| i.kind == kind).map(|i| i.duration()).sum()
            };
            assert!(time(Kind::Wash) > Seconds(120.0) && time(Kind::Heat) > Seconds(120.0), "{day}");
            assert!(
                !whole || (time(Kind::Fill) > Seconds(15.0) && time(Kind::Drain) > Seconds(5.0)),
                "{day}"
            );
            // Fill 9 to 15 W, drain 13 to 45 W, wash pump 55 to 155 W, by what is sure and long enough to be steady.
            for interval in
                cycle.intervals.iter().filter(|i| i.certainty > 0.8 && i.duration() > Seconds(30.0))
            {
                let watts = interval.measured.power.0;
                let seen = match interval.kind {
                    Kind::Fill => (6.0, 20.0),
                    Kind::Drain => (13.0, 45.0),
                    Kind::Wash => (55.0, 155.0),
                    Kind::Heat => (1_900.0, 2_350.0),
                    Kind::Pause => (0.0, 8.0),
                    _ => (0.0, 40.0),
                };
                assert!(
                    (seen.0..=seen.1).contains(&watts),
                    "{day} at {:.0}: {} of {watts} W",
                    interval.start,
                    interval.kind
                );
            }
            // Before heat comes washing, and before washing comes water: order, not level.
            let first = |kind| cycle.intervals.iter().find(|i| i.kind == kind).map(|i| i.start.0);
            assert!(cycle.cut_at_start || first(Kind::Fill) < first(Kind::Wash), "{day}");
        }
        // A gap is never bridged: nothing but a gap covers a time without readings.
        for pair in log.trace.steps.pairs().filter(|p| p[1].start.0 - p[0].end.0 > 0.5) {
            let (from, to) = (pair[0].end, pair[1].start);
            let covers = |i: &&tubtrace::intervals::Interval| i.start < to && i.end > from;
            let over = cycles.iter().flat_map(|c| &c.intervals).filter(covers);
            assert!(over.into_iter().all(|i| i.kind == Kind::Gap), "{day}: bridged at {from:.0}");
        }
    }
}

/// How many cycles, and how often each heats: read off the plots.
#[test]
fn the_cycles_of_each_machine() {
    for day in days("machine-a") {
        let (_, cycles) = worked(&day);
        assert_eq!(cycles.len(), 1, "{}", day.display());
        assert!((70.0..85.0).contains(&(cycles[0].duration().0 / 60.0)), "76 to 81 minutes");
    }
    for day in days("machine-b") {
        let (_, cycles) = worked(&day);
        let expected = if day.to_string_lossy().contains("05-18") { 2 } else { 1 };
        assert_eq!(cycles.len(), expected, "{}", day.display());
        // One cycle goes on across midnight, from one file to the next.
        let name = day.to_string_lossy().into_owned();
        assert_eq!(cycles[0].cut_at_end, name.contains("06-01"), "{name}");
        assert_eq!(cycles[0].cut_at_start, name.contains("06-02") || name.contains("05-18"), "{name}");
    }
    for day in days("machine-c") {
        let (_, cycles) = worked(&day);
        let heats = above_one_kilowatt(&readings(&day));
        for cycle in &cycles {
            let within = |h: &&Above| h.starts.1 >= cycle.start().0 && h.ends.0 <= cycle.end().0;
            let within: Vec<&Above> = heats.iter().filter(within).collect();
            // The long programme heats twice, the short ones three times; a reading that blinks parts nothing.
            let blinks = within.windows(2).filter(|w| w[1].starts.1 - w[0].ends.0 < 5.0).count();
            let count = within.len() - blinks;
            let short = cycle.duration() < Seconds(40.0 * 60.0);
            assert_eq!(count, if short { 3 } else { 2 }, "{} at {:.0}", day.display(), cycle.start());
        }
    }
}

fn chart_of(days: &[PathBuf]) -> Machine {
    let worked: Vec<_> = days.iter().map(|d| worked(d)).collect();
    let cycles: Vec<&Cycle> = worked.iter().flat_map(|(_, c)| c).collect();
    let resolution = worked.iter().map(|(l, _)| l.trace.resolution).fold(Seconds(0.0), Seconds::max);
    learn(&cycles, "learned", resolution).unwrap().machine
}

fn judged(day: &Path, chart: &Machine) -> Vec<Judged> {
    let (log, cycles) = worked(day);
    let surroundings = Surroundings::of(&log.trace, &cycles);
    cycles.iter().map(|c| judge(chart, c, surroundings)).collect()
}

/// Three days of machine-a make a chart that the fourth is within, and no day of another machine.
#[test]
fn a_chart_knows_its_machine() {
    let a = days("machine-a");
    if a.is_empty() {
        return;
    }
    let chart = chart_of(&a[..3]);
    for judged in judged(&a[3], &chart) {
        assert!(judged.findings.is_empty(), "{}", tubtrace_tests::explain(&judged, &chart));
    }
    for day in days("machine-b").iter().chain(&days("machine-c")) {
        for judged in judged(day, &chart) {
            assert_ne!(judged.outcome(), Outcome::Within, "{} by the chart of machine-a", day.display());
        }
    }
}

/// Learned from every second day of each machine as it is, all other days are checked, by the command as people run it. What is wanted is that at most
/// one healthy cycle in twenty departs, and so it is one way: one of 22, which ends without its last drain (machine-c, 25 August). The other way
/// it is one of 18 in which the machine was started three times and its first fill took 158 s instead of 65 (machine-a, 13 February).
#[test]
fn half_of_the_days_know_the_other_half() {
    let machines = ["machine-a", "machine-b", "machine-c"].map(days);
    if machines[0].is_empty() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let chart = folder.path().join("half.machine.toml");
    for (way, all) in [(0, 22), (1, 18)] {
        let (mut cycles, mut departing) = (0, Vec::new());
        for days in &machines {
            let [even, odd] = every_second(days.len());
            let (learns, checks) = &[even, odd][way].rounds[0];
            let good: Vec<&Path> = learns.iter().map(|&d| days[d].as_path()).collect();
            program::learn(&good, &chart).unwrap();
            for day in checks.iter().map(|&d| &days[d]) {
                let Said::Cycles(said) = program::check(day, Some(&chart)).unwrap() else {
                    panic!("{}: no verdict", day.display());
                };
                cycles += said.len();
                let departs = said.iter().filter(|c| c.departs);
                departing.extend(departs.map(|c| format!("{}: {}", day.display(), c.told.join("; "))));
            }
        }
        println!("{} of {cycles} depart\n{}", departing.len(), departing.join("\n"));
        assert_eq!(cycles, all, "every cycle is held");
        assert!(departing.len() <= 1, "{} of {cycles} depart: {}", departing.len(), departing.join("\n"));
    }
}

/// No cycle of one machine is within the chart of another.
#[test]
fn no_machine_is_within_the_chart_of_another() {
    let machines = ["machine-a", "machine-b", "machine-c"];
    for own in machines {
        let days_of_own = days(own);
        if days_of_own.is_empty() {
            return;
        }
        let chart = chart_of(&days_of_own);
        for other in machines.into_iter().filter(|m| *m != own) {
            for day in days(other) {
                for judged in judged(&day, &chart) {
                    assert_ne!(judged.outcome(), Outcome::Within, "{} by the chart of {own}", day.display());
                }
            }
        }
    }
}
