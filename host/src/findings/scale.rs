//! Whether all loads of a log are off by one factor: then its readings and the chart are of different scale, and no load is at fault.

use tubtrace_units::{Load, Loads};

use super::constants::{LOADS_ALIKE, LOADS_THE_SAME, OFF_BY, OFF_BY_LITTLE};
use super::judge::judge;
use super::judged::Judged;
use crate::alignment::Step;
use crate::analysis::Analysis;
use crate::chart::Machine;
use crate::checks::Surroundings;
use crate::intervals::{Cycle, Interval, Kind};
use crate::loads::Drawn;
use crate::stats::median;
use crate::trace::Trace;

/// Kinds of interval that different loads make.
const KINDS: [Kind; 3] = [Kind::Wash, Kind::Heat, Kind::Drain];

/// How many times what the chart has all loads draw, where they all do: those of every cycle that shows two kinds of load or more. A heater
/// at half its power, or a weak pump, is one kind that differs from the others.
#[must_use]
pub fn off_by(machine: &Machine, cycles: &[Cycle], judged: &[Judged]) -> Option<f64> {
    let mut all = Vec::new();
    for (cycle, judged) in cycles.iter().zip(judged) {
        let own: Vec<f64> = KINDS.iter().filter_map(|kind| ratio(machine, cycle, judged, *kind)).collect();
        if own.len() >= 2 {
            all.extend(own);
        }
    }
    if all.is_empty() {
        return None;
    }
    let factor = median(&all);
    let apart = |a: f64, by: f64| a.ln().abs() > by.ln();
    (apart(factor, OFF_BY.get()) && !all.iter().any(|r| apart(r / factor, LOADS_ALIKE.get())))
        .then_some(factor)
}

/// The same where the log was read by the levels of the machine's file, under which readings of another scale are taken for other loads: it is
/// read anew by what the loads would draw at the scale of its heater, whose power nothing else is like. A smaller factor leaves them what they are.
#[must_use]
pub fn off_scale(
    machine: &Machine,
    trace: &Trace,
    (cycles, judged): (&[Cycle], &[Judged]),
    surroundings: Surroundings,
) -> Option<f64> {
    let anew = || {
        let factor = heater_off_by(machine, trace, cycles).filter(|f| f.ln().abs() > OFF_BY.get().ln())?;
        let cycles = Analysis::of_known(trace, &machine.draws.scaled(factor)).cycles;
        let judged: Vec<Judged> = cycles.iter().map(|c| judge(machine, c, surroundings)).collect();
        off_by(machine, &cycles, &judged)
    };
    off_by(machine, cycles, judged).or_else(|| little(machine, trace, cycles)).or_else(anew)
}

/// How many times what the machine's file has heater, wash pump and drain pump all draw, by the middle of all cycles: a factor that a low mains may
/// bring to the heater alone, and age to a pump, has to be that of all three.
fn little(machine: &Machine, trace: &Trace, cycles: &[Cycle]) -> Option<f64> {
    let standby = machine.draws.get(Drawn::Standby).map_or(0.0, |draw| draw.amps.0);
    let pump = |kind: Kind, load: Load, drawn: Drawn| {
        let known = machine.draws.get(drawn)?.amps.0 + standby;
        let alone = |i: &&Interval| i.kind == kind && i.loads == Loads::of(&[load]);
        let all: Vec<f64> = cycles
            .iter()
            .flat_map(|c| c.intervals.iter().filter(alone))
            .map(|i| i.measured.amps.0 / known)
            .collect();
        (!all.is_empty()).then(|| median(&all))
    };
    let all = [
        heater_off_by(machine, trace, cycles)?,
        pump(Kind::Wash, Load::WashPump, Drawn::WashPump)?,
        pump(Kind::Drain, Load::DrainPump, Drawn::DrainPump)?,
    ];
    let factor = median(&all);
    let apart = |a: f64, by: f64| a.ln().abs() > by.ln();
    (apart(factor, OFF_BY_LITTLE.get()) && !all.iter().any(|r| apart(r / factor, LOADS_THE_SAME.get())))
        .then_some(factor)
}

/// How many times what the machine's file has the heater draws, by the median of the cycles.
fn heater_off_by(machine: &Machine, trace: &Trace, cycles: &[Cycle]) -> Option<f64> {
    let known = machine.draws.get(Drawn::HeaterInWater)?.amps;
    let level = |c: &Cycle| Some(c.record.signatures?.heater?.level);
    let all: Vec<f64> = cycles.iter().filter_map(level).map(|level| trace.amps(level) / known).collect();
    (!all.is_empty()).then(|| median(&all))
}

/// The median ratio of what a cycle draws in intervals of a kind to the middle of what the chart has for them.
fn ratio(machine: &Machine, cycle: &Cycle, judged: &Judged, kind: Kind) -> Option<f64> {
    let chart = machine.programmes.iter().find(|p| p.name == judged.programme)?;
    let of = |step: &Step| {
        let Step::Matched { place, phases } = step else { return None };
        let expected = chart.parts.get(place.part)?.intervals.get(place.interval)?;
        let amps = expected.amps.filter(|_| expected.kind == kind)?;
        let phases = judged.explanation.phases.get(phases.clone())?;
        let intervals = phases.iter().filter_map(|p| cycle.intervals.get(p.intervals.clone())).flatten();
        let longest =
            intervals.filter(|i| i.kind == kind).max_by(|a, b| a.duration().total_cmp(&b.duration()))?;
        Some(longest.measured.amps / ((amps.low + amps.high) / 2.0))
    };
    let ratios: Vec<f64> =
        judged.explanation.steps.iter().filter_map(of).filter(|r| r.is_finite() && *r > 0.0).collect();
    (!ratios.is_empty()).then(|| median(&ratios))
}
