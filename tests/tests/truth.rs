//! What the host finds in a simulated night, against what really happened, on both machines: cycles, intervals, loads,
//! boundaries, temperatures, the board's own fills.

use tubtrace::intervals::{Kind, heated_waters};
use tubtrace_simulator::machine::Appliance;
use tubtrace_simulator::scenario::Night;
use tubtrace_simulator::{Doing, TruthInterval};
use tubtrace_tests::{Worked, live};
use tubtrace_units::{Celsius, Load, Seconds};

fn kind(doing: Doing) -> Kind {
    match doing {
        Doing::Fill => Kind::Fill,
        Doing::Wash => Kind::Wash,
        Doing::Heat => Kind::Heat,
        Doing::Purge => Kind::Purge,
        Doing::Drain => Kind::Drain,
        Doing::Dry => Kind::Dry,
        Doing::Pause | Doing::Idle => Kind::Pause,
    }
}

/// Truth and findings as runs of one kind.
fn runs(intervals: impl Iterator<Item = (Kind, Seconds, Seconds)>) -> Vec<(Kind, Seconds, Seconds)> {
    let mut runs: Vec<(Kind, Seconds, Seconds)> = Vec::new();
    for (kind, start, end) in intervals {
        match runs.last_mut() {
            Some(last) if last.0 == kind => last.2 = end,
            _ => runs.push((kind, start, end)),
        }
    }
    runs
}

fn truth_of(night: &Worked, cycle: usize) -> impl Iterator<Item = &TruthInterval> {
    let truth = &night.recording.truth;
    let (start, end) = (truth.cycles[cycle].start, truth.cycles[cycle].end);
    truth.intervals.iter().filter(move |i| i.start >= start && i.end <= end)
}

fn agrees(appliance: Appliance, seed: u64, supply: Celsius) {
    let night = live(&Night::healthy(seed, appliance.clone(), 3));
    assert_eq!(night.cycles.len(), 3);
    assert!(night.log.notes.all().is_empty(), "{:?}", night.log.notes);
    let (mut right, mut all) = (0.0, 0.0);
    for (c, cycle) in night.cycles.iter().enumerate() {
        let truth = runs(truth_of(&night, c).map(|i| (kind(i.doing), i.start, i.end)));
        let found = runs(cycle.intervals.iter().map(|i| (i.kind, i.start, i.end)));
        let kinds = |runs: &[(Kind, Seconds, Seconds)]| runs.iter().map(|r| r.0).collect::<Vec<_>>();
        assert_eq!(kinds(&found), kinds(&truth), "cycle {c}");
        for (found, truth) in found.iter().zip(&truth) {
            assert!((found.1 - truth.1).abs() <= Seconds(0.5), "{found:?} for {truth:?}");
            assert!((found.2 - truth.2).abs() <= Seconds(0.5), "{found:?} for {truth:?}");
        }

        // Loads, second by second; the dispenser is too small to be asked for yet.
        let mut at = truth[0].1 + Seconds(0.5);
        while at < truth[truth.len() - 1].2 {
            let here = |i: &&TruthInterval| i.start <= at && at < i.end;
            let really = truth_of(&night, c).find(here).unwrap().loads.with(Load::Dispenser, false);
            let found = cycle.intervals.iter().find(|i| i.start <= at && at < i.end);
            // The halves of a purge are one interval with the loads of both.
            let is_purge = found.is_some_and(|i| i.kind == Kind::Purge);
            let same = found.is_some_and(|i| i.loads.with(Load::Dispenser, false) == really);
            right += f64::from(u8::from(same || is_purge));
            all += 1.0;
            at += Seconds(1.0);
        }

        let first_fill = cycle.intervals.iter().find(|i| i.kind == Kind::Fill).unwrap();
        let settled = first_fill.measured.supply.unwrap();
        let off = (settled.water - supply).abs();
        assert!(off <= settled.uncertainty + Celsius(1.5), "{settled:?} for {supply}");
        assert!((8.0..45.0).contains(&settled.lag.0), "{settled:?}");
    }
    // Heat balance gives too much water, never too little: tub and load take heat, and the room.
    for (cycle, heated) in night.cycles.iter().map(|c| (c, heated_waters(c))) {
        let poured = appliance.fill;
        assert!(
            heated.iter().all(|h| h.at_most + h.uncertainty > poured && h.at_most < poured * 3.0),
            "{heated:?}"
        );
        assert_eq!(
            heated.is_empty(),
            supply > Celsius(50.0),
            "only cold water rises enough: {:.0}",
            cycle.start()
        );
    }
    assert!(right / all > 0.995, "loads right in {right} of {all} seconds");

    // The board heard every fill by itself.
    let fills: Vec<_> = night.recording.truth.intervals.iter().filter(|i| i.doing == Doing::Fill).collect();
    for fill in &fills {
        let heard =
            night.log.trace.fills.iter().any(|h| {
                (h.start - fill.start).abs() < Seconds(0.5) && (h.end - fill.end).abs() < Seconds(0.5)
            });
        assert!(heard, "the board missed the fill at {}, heard {:?}", fill.start, night.log.trace.fills);
    }
}

#[test]
fn on_120_volts() {
    agrees(Appliance::on_120_volts(), 41, Appliance::on_120_volts().supply);
}

#[test]
fn on_230_volts() {
    agrees(Appliance::on_230_volts(), 42, Appliance::on_230_volts().supply);
}
